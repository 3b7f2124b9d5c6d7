"""Facilities that are closed for a time, and the sessions that this leaves without a place."""

from __future__ import annotations

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.examples import example_id
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, DESK
from practice.people_and_places.models.exceptions import Closure
from practice.people_and_places.selectors.exceptions import closures
from practice.people_and_places.services.exceptions import closure_lift
from sessions.absences.filters import ClosureFilter
from sessions.absences.rendering import render_lifted, render_recorded
from sessions.absences.serializers.met import MetSessionOutputSerializer
from sessions.absences.serializers.recording import (
    ClosureDetailOutputSerializer,
    ClosureInputSerializer,
    ClosureOutputSerializer,
    ClosureRecordedOutputSerializer,
    LiftInputSerializer,
)
from sessions.absences.services.recording import closure_record
from sessions.absences.views.off import MetSessionsView, OffDetailView, moving


@extend_schema_view(
    get=endpoint(
        "List closures",
        response=ClosureOutputSerializer(many=True),
        description="Of facilities that the caller sees, by first day. Those that were lifted "
        "stay, with why.",
        tags=["absences"],
    )
)
class ClosureListView(CommandView, ListView):
    """When facilities are closed."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True
    serializer_class = ClosureOutputSerializer
    filterset_class = ClosureFilter
    order = ("first_day", "id")

    def get_queryset(self) -> QuerySet[Closure]:
        """Those at my facilities."""
        return closures(self.actor(self.request)).select_related("facility")

    post = Command(
        "Close a facility for a time",
        tag="absences",
        roles=DESK,
        input=ClosureInputSerializer,
        output=ClosureRecordedOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=closure_record,
        render=render_recorded,
        description="On whole local days or a part of one. Open times stop offering it at once, "
        "and nothing is booked there then without a reason. The answer names the classes and the "
        "booked sessions that it meets, with phones; they stand on the call list "
        "until they are moved, cancelled "
        "or the client was reached. 409 `already_recorded` for the same time again.",
    )


class ClosureDetailView(OffDetailView):
    """One closure."""

    roles = {"GET": ANY_STAFF}

    @endpoint(
        "Read a closure",
        response=ClosureDetailOutputSerializer,
        errors=(404,),
        description="When and why, whether it was lifted, and how many sessions are still without "
        "a place. Its revision, for `If-Match`, is the ETag.",
        tags=["absences"],
    )
    def get(self, request: Request, closure_id: UUID) -> Response:
        return self.read_off(request)


class ClosureLiftView(CommandView):
    """It is open after all."""

    post = Command(
        "Lift a closure",
        tag="absences",
        roles=DESK,
        input=LiftInputSerializer,
        output=ClosureOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=closure_lift,
        render=render_lifted,
        description="It is open after all, or it was recorded by mistake. What is still booked "
        "leaves the call list; what was moved stays moved. 409 `lifted_already`.",
    )


@extend_schema_view(
    get=endpoint(
        "List the sessions that a closure meets",
        response=MetSessionOutputSerializer(many=True),
        errors=(404,),
        description="Booked sessions to come that are still without a place, by start, with phone. "
        "Nobody can stand in at a closed place: they need another time or facility. Every client "
        "on the page counts as read.",
        tags=["absences"],
    )
)
class ClosureSessionsView(MetSessionsView):
    """Whom a closure leaves without a place."""


class ClosureMovesView(CommandView):
    """Several of its sessions are moved in one act."""

    post = moving(
        "a closure",
        "Each to another time or place",
        example={
            "moves": [
                {
                    "session_id": example_id("session_of_closure"),
                    "starts_at": {"local": "2026-03-18T09:30"},
                }
            ],
            "reason": "Closed for snow.",
        },
    )
