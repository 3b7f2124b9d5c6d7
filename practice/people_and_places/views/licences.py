"""Licences of practitioners, and the techniques that they are signed off for."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ListView
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from practice.people_and_places.rendering import render_competence, render_licence
from practice.people_and_places.selectors.practitioners import (
    competences_of,
    licence_get,
    licences_of,
)
from practice.people_and_places.serializers.people import (
    CompetenceInputSerializer,
    CompetenceOutputSerializer,
    LicenceInputSerializer,
    LicenceOutputSerializer,
)
from practice.people_and_places.services import practitioners as services
from practice.people_and_places.services import sign_offs
from practice.people_and_places.views.practitioners import OfPractitionerView


@extend_schema_view(
    get=endpoint(
        "List a practitioner's licences",
        response=LicenceInputSerializer(many=True),
        errors=(404,),
        description=(
            "By the day on which they run out, those that have among them. One counts in "
            "its jurisdiction, for its credential, on the days between."
        ),
        tags=["people"],
    )
)
class LicenceListView(OfPractitionerView, ListView):
    """Licences of one practitioner."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
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
        description=(
            "It counts from its first to its last day in the jurisdiction that gave it. "
            "`warnings` say where it does not let its holder work today: another "
            "credential, run out, not begun. 409 for a number on record."
        ),
    )


class LicenceDetailView(OfPractitionerView):
    """One licence of a practitioner."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read a licence",
        response=LicenceInputSerializer,
        errors=(404,),
        description="Its number, jurisdiction, credential, and the days from which and to which it"
        " counts. 404 under another practitioner. Its revision, for `If-Match`, is the ETag.",
        tags=["people"],
    )
    def get(self, request: Request, practitioner_id: UUID, licence_id: UUID) -> Response:
        """The licence with its revision as ETag."""
        row = licence_get(practitioner_id, licence_id)
        return self.read_response(LicenceInputSerializer(row).data, version=row.revision)

    patch = Command(
        "Renew or correct a licence",
        tag="people",
        roles=OWNER_ONLY,
        input=LicenceInputSerializer,
        example={"expires_on": "2027-12-31"},
        partial=True,
        output=LicenceOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=services.licence_change,
        render=render_licence,
        description=(
            "Fields left out stay, and the history of changes keeps what stood. Sessions to "
            "come are evaluated again; `warnings` say where it does not count today."
        ),
    )


@extend_schema_view(
    get=endpoint(
        "List the techniques a practitioner is signed off for",
        response=CompetenceInputSerializer(many=True),
        errors=(404,),
        description=(
            "Each with who said so, when, and that it was practised on colleagues first. "
            "One that the setting `competence_needed` names and that is not here may not be "
            "done by hand."
        ),
        tags=["people"],
    )
)
class CompetenceListView(OfPractitionerView, ListView):
    """Sign-offs of one practitioner."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    serializer_class = CompetenceInputSerializer
    order = ("technique", "id")

    def get_queryset(self) -> Any:
        """Those in force."""
        return competences_of(self.kwargs.get("practitioner_id"))

    post = Command(
        "Sign a practitioner off for a technique",
        tag="people",
        roles=OWNER_ONLY,
        input=CompetenceInputSerializer,
        output=CompetenceOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=sign_offs.competence_add,
        render=render_competence,
        description=(
            "From that day on they may do it by hand, as far as licence and law let them; "
            "it must have been practised on colleagues first. Nobody signs off themself "
            "(400): another of the practice or a teacher does. Where the practice has no "
            "other practitioner, their own sign-off stands with its `reason`, and `warnings` "
            "say so. 409 where it is on record: take that one back and add it anew."
        ),
    )


class CompetenceDetailView(OfPractitionerView):
    """One sign-off of a practitioner for a technique."""

    delete = Command(
        "Take a sign-off back",
        tag="people",
        roles=OWNER_ONLY,
        errors=(404,),
        execute=sign_offs.competence_remove,
        description=(
            "Where the setting `competence_needed` names the technique, this practitioner "
            "may no longer do it by hand; sessions to come are evaluated again. Signed "
            "notes stand by what held on their day."
        ),
    )
