"""Practitioners of the facilities that the caller sees."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.core.reasons import existing
from practice.core.terms import Credential
from practice.http.filters import FilterSet
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from practice.http.views import ApiView, CommandResponse, ListView, with_warnings
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.offboarding import departed_practitioner_warnings
from practice.people_and_places.selectors.facilities import (
    visible_practitioners,
)
from practice.people_and_places.serializers.people import (
    PractitionerInputSerializer,
    PractitionerOutputSerializer,
)
from practice.people_and_places.services import practitioners as services


def practitioner_get(view: ApiView, request: Request, practitioner_id: UUID) -> Practitioner:
    """A practitioner that the caller may see. Raises Rejected 404."""
    return existing(
        visible_practitioners(view.actor(request)).filter(pk=practitioner_id).first(),
        "practitioner",
    )


class PractitionerFilter(FilterSet):
    """Filters of the list of practitioners."""

    facility_id = django_filters.UUIDFilter(
        field_name="facilities", help_text="Those who work at one facility."
    )
    credential = django_filters.ChoiceFilter(
        choices=[(c.value, c.value) for c in Credential], help_text="Those of one credential."
    )
    is_active = django_filters.BooleanFilter(help_text="false for those who have left.")

    class Meta:
        model = Practitioner
        fields = ("facility_id", "credential", "is_active")


@extend_schema_view(
    get=endpoint(
        "List practitioners", response=PractitionerInputSerializer(many=True), tags=["people"]
    ),
    post=endpoint(
        "Add a practitioner",
        request=PractitionerInputSerializer,
        response=PractitionerOutputSerializer,
        status=201,
        errors=(409,),
        idempotency="optional",
        tags=["people"],
    ),
)
class PractitionerListView(ListView):
    """Practitioners of the facilities that I see."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = PractitionerInputSerializer
    filterset_class = PractitionerFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """Those of my facilities."""
        rows = visible_practitioners(self.actor(self.request))
        return rows.prefetch_related("facilities", "working_hours")

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)

    def post(self, request: Request) -> Any:
        """A new practitioner."""
        given = PractitionerInputSerializer.checked(request.data)

        def execute(uow: Any) -> CommandResponse:
            row = services.practitioner_add(uow, given)
            return with_warnings(
                PractitionerInputSerializer(row).data,
                services.same_name_warnings(row),
                row.revision,
            )

        return self.command(request, execute, status=201)


@extend_schema_view(
    get=endpoint(
        "Read a practitioner", response=PractitionerInputSerializer, errors=(404,), tags=["people"]
    ),
    patch=endpoint(
        "Change a practitioner or her working hours",
        request=PractitionerInputSerializer(partial=True),
        response=PractitionerOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        tags=["people"],
    ),
)
class PractitionerDetailView(ApiView):
    """One practitioner."""

    roles = {"GET": ANY_STAFF, "PATCH": OWNER_ONLY}

    def get(self, request: Request, practitioner_id: UUID) -> Response:
        """The practitioner with her revision as ETag."""
        row = practitioner_get(self, request, practitioner_id)
        return self.read_response(PractitionerInputSerializer(row).data, version=row.revision)

    def patch(self, request: Request, practitioner_id: UUID) -> Any:
        """Change what is given."""
        given = PractitionerInputSerializer.checked(request.data, partial=True)
        match = self.if_match(request)

        def execute(uow: Any) -> CommandResponse:
            row = services.practitioner_change(uow, practitioner_id, given, match)
            found = [*services.same_name_warnings(row), *departed_practitioner_warnings(row)]
            return with_warnings(PractitionerInputSerializer(row).data, found, row.revision)

        return self.command(request, execute)
