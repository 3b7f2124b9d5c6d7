"""Classes: list, make, read, give a place, move, call off."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import CARE
from sessions.calendar.models import ExerciseClass
from sessions.calendar.selectors.classes import class_get, class_list
from sessions.groups.filters import ClassFilter
from sessions.groups.place_serializers import PlaceInputSerializer
from sessions.groups.rendering import (
    render_changed,
    render_details,
    render_made,
    render_place,
    serialize_class,
    serialize_class_detail,
)
from sessions.groups.selectors import places_shown
from sessions.groups.serializers import (
    ClassCancelInputSerializer,
    ClassChangedOutputSerializer,
    ClassDetailOutputSerializer,
    ClassDetailsInputSerializer,
    ClassDetailsOutputSerializer,
    ClassEnteredOutputSerializer,
    ClassInputSerializer,
    ClassMoveInputSerializer,
    ClassOutputSerializer,
    PlaceBookedOutputSerializer,
)
from sessions.groups.services.classes import class_cancel, class_create, class_move
from sessions.groups.services.details import class_change
from sessions.groups.services.places import place_book


@extend_schema_view(
    get=endpoint(
        "List classes",
        response=ClassOutputSerializer(many=True),
        description="Those at facilities that the caller sees, by start, with how many places are "
        "left; narrowed by day, facility, practitioner or free places. No client is named.",
        tags=["sessions"],
    )
)
class ClassListView(CommandView, ListView):
    """The classes at the facilities that I see."""

    roles = {"GET": CARE}
    names_no_client = True
    filterset_class = ClassFilter
    order = ("starts_at", "id")

    def get_queryset(self) -> QuerySet[ExerciseClass]:
        """Those at my facilities."""
        return class_list(self.actor(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names and what is left."""
        return [serialize_class(row) for row in rows]

    post = Command(
        "Make a class, or enter one that took place",
        tag="sessions",
        roles=CARE,
        input=ClassInputSerializer,
        output=ClassEnteredOutputSerializer,
        status=201,
        errors=(404, 409),
        idempotency="required",
        execute=class_create,
        render=render_made,
        description="Several clients with one practitioner, nothing by hand. It takes the "
        "practitioner's and the room's time at once, whether or not anybody has a place: 409 "
        "`time_taken` where that is taken, `closed_then` where the place is closed or the "
        "practitioner absent. At most `groups.most_places` places. One that took place, in an "
        "outage say, is entered with `places`: each client's session is judged by what was so "
        "that day, and an overlap is kept and said; 409 `class_on_record` where it is there "
        "already.",
    )


class ClassDetailView(CommandView):
    """One class and who is in it."""

    roles = {"GET": CARE}

    @endpoint(
        "Read a class",
        response=ClassDetailOutputSerializer,
        errors=(404,),
        description="When, where, with whom, how many places are taken and free, and who has "
        "them. Every client with a place counts as read. The ETag goes into `If-Match`.",
        tags=["sessions"],
    )
    def get(self, request: Request, class_id: UUID) -> Response:
        row = class_get(self.actor(request), class_id)
        places = places_shown(class_id)
        self.log_reads(request, (one.client_id for one in places), "class")
        return self.read_response(serialize_class_detail(row, places), version=row.revision)

    patch = Command(
        "Change a class's title or number of places",
        tag="sessions",
        roles=CARE,
        input=ClassDetailsInputSerializer,
        partial=True,
        output=ClassDetailsOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=class_change,
        render=render_details,
        description="Fields left out stay; nobody loses a place by it: 409 `places_taken` where "
        "more are taken. `waiting_fits` says who on the waiting list may have one of the places "
        "that were added. When, where and with whom it is, a move changes. 409 `class_over` once "
        "it ended.",
    )


class ClassPlacesView(CommandView):
    """Who has a place."""

    post = Command(
        "Give a client a place in a class",
        tag="sessions",
        roles=CARE,
        input=PlaceInputSerializer,
        output=PlaceBookedOutputSerializer,
        status=201,
        errors=(404, 409),
        idempotency="required",
        execute=place_book,
        render=render_place,
        description="A session of the client's own, with its verdict, arrival, note and signature, "
        "booked by what a booking asks. 409 `class_full` where no place is left, "
        "`class_is_self_directed` where hands-on is asked for. The place is called off, and comes "
        "free, by calling off the session. In a class that took place `attendance` says whether "
        "the client came: 409 `has_a_place` where they have one.",
    )


class ClassMoveView(CommandView):
    """Another time, practitioner or room for all."""

    post = Command(
        "Move a class with every place in it",
        tag="sessions",
        roles=CARE,
        input=ClassMoveInputSerializer,
        output=ClassChangedOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="required",
        execute=class_move,
        render=render_changed,
        description="Each place is moved as a session alone would be and keeps its id. Where "
        "somebody cannot come along nothing is moved: 409 `not_all_can_move` says who. With "
        "`cancel_who_cannot` their places are called off by the practice. All are on the call list "
        "then, to be told; `waiting_fits` says who may have the time "
        "that came free. 409 `class_under_way` once it began or somebody came.",
    )


class ClassCancellationView(CommandView):
    """Why it does not take place."""

    post = Command(
        "Call a class off with every place in it",
        tag="sessions",
        roles=CARE,
        input=ClassCancelInputSerializer,
        output=ClassChangedOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="required",
        execute=class_cancel,
        render=render_changed,
        description="Each place is called off by the practice; the practitioner and the room are "
        "free again, and the clients are on the call list, to be told; `waiting_fits` says who may "
        "have the time. 409 `class_under_way` once it began or somebody came.",
    )
