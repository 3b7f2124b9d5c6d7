"""Practitioners, licences, sign-offs, supervision."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.core.terms import Credential
from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.filters import FilterSet
from practice.http.openapi import endpoint
from practice.http.representations import row_renderer
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from practice.people_and_places.models.practitioners import Practitioner, Supervision
from practice.people_and_places.rendering import (
    render_changed_practitioner,
    render_licence,
    render_new_practitioner,
)
from practice.people_and_places.selectors.facilities import (
    practitioner_get,
    visible_facilities,
    visible_practitioners,
)
from practice.people_and_places.selectors.practitioners import competences_of, licences_of
from practice.people_and_places.serializers.people import (
    CompetenceSerializer,
    LicenceInputSerializer,
    LicenceOutputSerializer,
    PractitionerInputSerializer,
    PractitionerOutputSerializer,
    SupervisionSerializer,
)
from practice.people_and_places.services import practitioners as services


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
    )
)
class PractitionerListView(CommandView, ListView):
    """Practitioners of the facilities that I see."""

    roles = {"GET": ANY_STAFF}
    serializer_class = PractitionerInputSerializer
    filterset_class = PractitionerFilter
    order = ("name", "id")

    def get_queryset(self) -> Any:
        """Those of my facilities."""
        rows = visible_practitioners(self.actor(self.request))
        return rows.prefetch_related("facilities", "working_hours")

    post = Command(
        "Add a practitioner",
        tag="people",
        roles=OWNER_ONLY,
        input=PractitionerInputSerializer,
        output=PractitionerOutputSerializer,
        status=201,
        errors=(409,),
        execute=services.practitioner_add,
        render=render_new_practitioner,
        description="A new practitioner.",
    )


class PractitionerDetailView(CommandView):
    """One practitioner."""

    roles = {"GET": ANY_STAFF}

    @endpoint(
        "Read a practitioner", response=PractitionerInputSerializer, errors=(404,), tags=["people"]
    )
    def get(self, request: Request, practitioner_id: UUID) -> Response:
        """The practitioner with their revision as ETag."""
        row = practitioner_get(self.actor(request), practitioner_id)
        return self.read_response(PractitionerInputSerializer(row).data, version=row.revision)

    patch = Command(
        "Change a practitioner or their working hours",
        tag="people",
        roles=OWNER_ONLY,
        input=PractitionerInputSerializer,
        partial=True,
        output=PractitionerOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=services.practitioner_change,
        render=render_changed_practitioner,
        description="Change what is given.",
    )


class OfPractitionerView(CommandView):
    """A view below one practitioner; one that the caller does not see is 404."""

    def check_visible(self, request: Request, **ids: Any) -> None:
        """The practitioner of the path."""
        practitioner_get(self.actor(request), ids["practitioner_id"])


@extend_schema_view(
    get=endpoint(
        "List a practitioner's licences",
        response=LicenceInputSerializer(many=True),
        errors=(404,),
        tags=["people"],
    )
)
class LicenceListView(OfPractitionerView, ListView):
    """Licences of one practitioner."""

    roles = {"GET": ANY_STAFF}
    serializer_class = LicenceInputSerializer
    order = ("expires_on", "id")

    def get_queryset(self) -> Any:
        """Expired ones too."""
        return licences_of(self.kwargs.get("practitioner_id"))

    post = Command(
        "Record a licence",
        tag="people",
        roles=OWNER_ONLY,
        input=LicenceInputSerializer,
        output=LicenceOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=services.licence_add,
        render=render_licence,
        description="A new licence.",
    )


class LicenceDetailView(OfPractitionerView):
    """One licence."""

    patch = Command(
        "Renew or correct a licence",
        tag="people",
        roles=OWNER_ONLY,
        input=LicenceInputSerializer,
        partial=True,
        output=LicenceOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=services.licence_change,
        render=render_licence,
        description="Change what is given.",
    )


@extend_schema_view(
    get=endpoint(
        "List the techniques a practitioner is signed off for",
        response=CompetenceSerializer(many=True),
        errors=(404,),
        tags=["people"],
    )
)
class CompetenceListView(OfPractitionerView, ListView):
    """Sign-offs of one practitioner."""

    roles = {"GET": ANY_STAFF}
    serializer_class = CompetenceSerializer
    order = ("technique", "id")

    def get_queryset(self) -> Any:
        """Those in force."""
        return competences_of(self.kwargs.get("practitioner_id"))

    post = Command(
        "Sign a practitioner off for a technique",
        tag="people",
        roles=OWNER_ONLY,
        input=CompetenceSerializer,
        output=CompetenceSerializer,
        status=201,
        errors=(404, 409),
        execute=services.competence_add,
        render=row_renderer(CompetenceSerializer),
        description="To correct a sign-off, take it back and add it anew.",
    )


class CompetenceDetailView(OfPractitionerView):
    """One sign-off."""

    delete = Command(
        "Take a sign-off back",
        tag="people",
        roles=OWNER_ONLY,
        errors=(404,),
        execute=services.competence_remove,
        description="Take it back; future sessions are judged again.",
    )


class SupervisionFilter(FilterSet):
    """Filters of the list of supervisions."""

    facility_id = django_filters.UUIDFilter(help_text="At one facility.")
    supervised_id = django_filters.UUIDFilter(help_text="Of one practitioner.")
    day_from = django_filters.DateFilter(
        field_name="day", lookup_expr="gte", help_text="From this local day on."
    )
    day_to = django_filters.DateFilter(
        field_name="day", lookup_expr="lte", help_text="Until this local day, included."
    )

    class Meta:
        model = Supervision
        fields = ("facility_id", "supervised_id")


@extend_schema_view(
    get=endpoint("List supervisions", response=SupervisionSerializer(many=True), tags=["people"])
)
class SupervisionListView(CommandView, ListView):
    """Supervisions at the facilities that I see."""

    roles = {"GET": ANY_STAFF}
    serializer_class = SupervisionSerializer
    filterset_class = SupervisionFilter
    order = ("-day", "id")

    def get_queryset(self) -> Any:
        """Those at my facilities."""
        mine = visible_facilities(self.actor(self.request)).values("pk")
        return Supervision.objects.filter(facility__in=mine)

    post = Command(
        "Name who supervises whom on a day",
        tag="people",
        roles=OWNER_ONLY,
        input=SupervisionSerializer,
        output=SupervisionSerializer,
        status=201,
        execute=services.supervision_add,
        render=row_renderer(SupervisionSerializer),
        description="Name a supervisor.",
    )


class SupervisionDetailView(CommandView):
    """One supervision."""

    delete = Command(
        "Take a supervision back",
        tag="people",
        roles=OWNER_ONLY,
        errors=(404,),
        execute=services.supervision_remove,
        description="Take it back; future sessions are judged again.",
    )
