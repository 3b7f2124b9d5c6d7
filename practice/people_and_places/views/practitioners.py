"""Practitioners of the facilities that the caller sees."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from practice.people_and_places.filters import PractitionerFilter
from practice.people_and_places.rendering import (
    render_changed_practitioner,
    render_new_practitioner,
)
from practice.people_and_places.selectors.facilities import (
    practitioner_get,
    visible_practitioners,
)
from practice.people_and_places.serializers.people import (
    PractitionerInputSerializer,
    PractitionerOutputSerializer,
)
from practice.people_and_places.services import practitioners as services


@extend_schema_view(
    get=endpoint(
        "List practitioners",
        response=PractitionerInputSerializer(many=True),
        description=(
            "Those who work at facilities that the caller sees, with credential, languages "
            "and working hours; leavers stay, with `is_active` false."
        ),
        tags=["people"],
    )
)
class PractitionerListView(CommandView, ListView):
    """Practitioners of the facilities that I see."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
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
        description=(
            "With facilities and working hours; hours outside a facility of theirs are 400. "
            "409 where the NPI is another's, a warning where one of that name and "
            "credential is on record. To work they need a licence and sign-offs besides."
        ),
    )


class PractitionerDetailView(CommandView):
    """One practitioner with working hours and facilities."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read a practitioner",
        response=PractitionerInputSerializer,
        errors=(404,),
        description=(
            "Credential, gender, languages, NPI, facilities and working hours by weekday. "
            "404 for one at no facility of the caller's. Their revision, for `If-Match`, is "
            "the ETag."
        ),
        tags=["people"],
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
        example={"languages": ["en", "es"]},
        partial=True,
        output=PractitionerOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=services.practitioner_change,
        render=render_changed_practitioner,
        description=(
            "Fields left out stay; hours are replaced as a whole. Sessions to come are "
            "evaluated again, and `warnings` say how many a leaver is booked for, or someone at a "
            "facility where they do not work any more."
        ),
    )


class OfPractitionerView(CommandView):
    """A view below one practitioner; one that the caller does not see is 404."""

    def check_visible(self, request: Request, **ids: Any) -> None:
        """The practitioner of the path."""
        practitioner_get(self.actor(request), ids["practitioner_id"])
