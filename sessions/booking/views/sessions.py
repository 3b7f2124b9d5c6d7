"""Sessions: list, book, read, move, call off."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.display_names import with_display_names
from practice.http.base_views import ApiView, ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, CARE
from sessions.booking.filters import SessionFilter
from sessions.booking.rendering import render_freed, render_session
from sessions.booking.serializers.ended import SessionCancelInputSerializer
from sessions.booking.serializers.freed import FreedSessionOutputSerializer
from sessions.booking.serializers.sessions import (
    SessionBookInputSerializer,
    SessionMoveInputSerializer,
    SessionOutputSerializer,
    serialize_session,
)
from sessions.booking.services.freed import session_cancel_prompting, session_move_prompting
from sessions.booking.services.sessions import session_book
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_get, session_list


@extend_schema_view(
    get=endpoint(
        "List sessions",
        response=SessionOutputSerializer(many=True),
        description=(
            "Those at facilities that the caller sees, by start; narrowed by day, client, "
            "practitioner or status. Flags say which were planned wider than is permitted "
            "now. Every client on the page counts as read."
        ),
        tags=["sessions"],
    )
)
class SessionListView(CommandView, ListView):
    """The sessions at the facilities that I see."""

    roles = {"GET": ANY_STAFF}
    filterset_class = SessionFilter
    order = ("starts_at", "id")

    def get_queryset(self) -> QuerySet[Session]:
        """Those at my facilities."""
        return session_list(self.actor(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names, as the role may read them; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "sessions")
        role = self.actor(request).role
        return [serialize_session(role, row) for row in with_display_names(rows)]

    post = Command(
        "Book a session, or enter one that took place",
        tag="sessions",
        roles=CARE,
        input=SessionBookInputSerializer,
        output=SessionOutputSerializer,
        status=201,
        errors=(404, 409),
        idempotency="required",
        execute=session_book,
        render=render_session,
        description="Without `requested_mode` it is planned as permitted, with the reasons."
        " 409 `not_hands_on` where hands-on is asked for and nothing of it can be: `bookable_as`"
        " says as what it can be booked. 409 `credential_does_not_evaluate` for an evaluation by"
        " an assistant. 409 `closed_then` where the facility is closed, the practice closes for a"
        " public holiday, or the practitioner is absent; with `overrule`, a reason, it is booked"
        " all the same. Outside ordinary hours it is only warned.",
    )


class SessionDetailView(ApiView):
    """One session as it stands."""

    roles = {"GET": ANY_STAFF}

    @endpoint(
        "Read a session",
        response=SessionOutputSerializer,
        errors=(404,),
        description=(
            "When, where, with whom, as what it was planned and how far it came, with flags "
            "and, for who may read them, reasons. The ETag is its version, for `If-Match`."
        ),
        tags=["sessions"],
    )
    def get(self, request: Request, session_id: UUID) -> Response:
        actor = self.actor(request)
        row = session_get(actor, session_id)
        self.log_read(request, row.client_id, "session")
        return self.read_response(serialize_session(actor.role, row), version=row.version)


class SessionMoveView(CommandView):
    """Another time, place or practitioner."""

    post = Command(
        "Move a session, or plan it anew",
        tag="sessions",
        roles=CARE,
        input=SessionMoveInputSerializer,
        output=FreedSessionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=session_move_prompting,
        render=render_freed,
        description="It keeps its id, and its length where only starts_at is given. A move alone "
        "never turns a session hands-on; asked for where nothing can be, it is 409 `not_hands_on`. "
        "What changes nothing is 409 `nothing_to_move`. Into a closure or an absence it is 409 "
        "`closed_then`, unless `overrule` says why. `waiting_fits` says who on the waiting list "
        "may have the time that it left.",
    )


class SessionCancellationView(CommandView):
    """Who called it off, and why."""

    post = Command(
        "Call a session off",
        tag="sessions",
        roles=CARE,
        input=SessionCancelInputSerializer,
        output=FreedSessionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=session_cancel_prompting,
        render=render_freed,
        description="The same again changes nothing; by another or for another cause it is 409 "
        "`already_cancelled` with what stands: correct the session. `waiting_fits` says "
        "who on the waiting list may have the time that came free. One that was booked for the "
        "wrong client is entered in error instead (`…/entry-in-error`): it is no cancellation of "
        "theirs.",
    )
