"""Practitioners who are not in, and the sessions that this leaves without a practitioner."""

from __future__ import annotations

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import CARE
from practice.people_and_places.models.exceptions import Absence
from practice.people_and_places.selectors.exceptions import absences
from practice.people_and_places.services.exceptions import absence_lift
from sessions.absences.filters import AbsenceFilter
from sessions.absences.rendering import render_lifted, render_recorded
from sessions.absences.serializers.met import MetSessionOutputSerializer
from sessions.absences.serializers.recording import (
    AbsenceDetailOutputSerializer,
    AbsenceInputSerializer,
    AbsenceOutputSerializer,
    AbsenceRecordedOutputSerializer,
    LiftInputSerializer,
)
from sessions.absences.services.recording import absence_record
from sessions.absences.views.off import MetSessionsView, OffDetailView, moving


@extend_schema_view(
    get=endpoint(
        "List absences",
        response=AbsenceOutputSerializer(many=True),
        description="Of practitioners whom the caller sees, by first day; to a practitioner their "
        "own alone. Those that were lifted stay, with why.",
        tags=["absences"],
    )
)
class AbsenceListView(CommandView, ListView):
    """Who is not in, and when."""

    roles = {"GET": CARE}
    names_no_client = True
    serializer_class = AbsenceOutputSerializer
    filterset_class = AbsenceFilter
    order = ("first_day", "id")

    def get_queryset(self) -> QuerySet[Absence]:
        """Those that the caller may know of."""
        return absences(self.actor(self.request)).select_related("practitioner")

    post = Command(
        "Record that a practitioner is not in",
        tag="absences",
        roles=CARE,
        input=AbsenceInputSerializer,
        output=AbsenceRecordedOutputSerializer,
        status=201,
        errors=(403, 404, 409),
        execute=absence_record,
        render=render_recorded,
        description="On whole local days or a part of time, over midnight too. Open times stop "
        "offering them at once, and nothing is booked with them then without a reason. The answer "
        "names the classes and the booked sessions that it meets, in order of time: phone, local "
        "time, and who may lawfully stand in: at work there, free, and open "
        "by preference, consent, law and the "
        "payer's authorization. They stand on the call list until they are moved, cancelled or "
        "the client was reached. A practitioner records their own (403). 409 "
        "`already_recorded` for the same time again.",
    )


class AbsenceDetailView(OffDetailView):
    """One absence."""

    roles = {"GET": CARE}

    @endpoint(
        "Read an absence",
        response=AbsenceDetailOutputSerializer,
        errors=(404,),
        description="When, of what kind, whether it was lifted, and how many sessions are still "
        "without a practitioner. Its revision, for `If-Match`, is the ETag.",
        tags=["absences"],
    )
    def get(self, request: Request, absence_id: UUID) -> Response:
        return self.read_off(request)


class AbsenceLiftView(CommandView):
    """They are in after all."""

    post = Command(
        "Lift an absence",
        tag="absences",
        roles=CARE,
        input=LiftInputSerializer,
        example={"reason": "Back at work."},
        output=AbsenceOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=absence_lift,
        render=render_lifted,
        description="They are there after all, or it was recorded by mistake. What is still booked "
        "leaves the call list; what was moved stays moved. 409 `lifted_already`.",
    )


@extend_schema_view(
    get=endpoint(
        "List the sessions that an absence meets",
        response=MetSessionOutputSerializer(many=True),
        errors=(404,),
        description="Booked sessions to come that are still without a practitioner, by start, at "
        "facilities that the caller sees: with phone, and who may lawfully stand in or may not and "
        "why. Every client on the page counts as read.",
        tags=["absences"],
    )
)
class AbsenceSessionsView(MetSessionsView):
    """Whom an absence leaves without a practitioner."""


class AbsenceMovesView(CommandView):
    """Several of its sessions are moved in one act."""

    post = moving("an absence", "Each to a stand-in, another time or place")
