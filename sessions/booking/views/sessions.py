"""Sessions: list, book, read, move, call off."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.display_names import with_display_names
from practice.core.terms import Role
from practice.http.base_views import ApiView, CommandResponse, ListView
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, CARE
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.domain.commands import CancelSession
from sessions.booking.filters import SessionFilter
from sessions.booking.serializers.sessions import (
    SessionBookInputSerializer,
    SessionCancelInputSerializer,
    SessionMoveInputSerializer,
    SessionOutputSerializer,
    serialize_session,
)
from sessions.booking.services.sessions import (
    SessionCommandResult,
    session_book,
    session_cancel,
    session_move,
)
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_get, session_list


def session_response(
    uow: UnitOfWork, done: SessionCommandResult, status: int | None = None
) -> CommandResponse:
    """The session as it stands after a command, with the command's warnings."""
    row = Session.objects.get(pk=done.session_id)
    shown = serialize_session(uow.actor.role, row, done.warnings)
    return CommandResponse(shown, status=status, version=row.version)


@extend_schema_view(
    get=endpoint("List sessions", response=SessionOutputSerializer(many=True), tags=["sessions"]),
    post=endpoint(
        "Book a session, or enter one that took place",
        request=SessionBookInputSerializer,
        response=SessionOutputSerializer,
        status=201,
        errors=(404, 409),
        idempotency="required",
        description="Hands-on where it is permitted; else self-directed, with the reasons.",
        tags=["sessions"],
    ),
)
class SessionListView(ListView):
    """The sessions at the facilities that I see."""

    roles = {"GET": ANY_STAFF, "POST": CARE}
    serializer_class = SessionOutputSerializer
    filterset_class = SessionFilter
    order = ("starts_at", "id")

    def get_queryset(self) -> QuerySet[Session]:
        """Mine."""
        return session_list(self.actor(self.request))

    def get_serializer(self, *args: Any, **kwargs: Any) -> Any:
        """Rows as this role may read them."""
        role = Role(self.caller(self.request).role)
        rows = [serialize_session(role, row) for row in args[0]]
        return SessionOutputSerializer(rows, **kwargs)

    def prepare_rows(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "sessions")
        return with_display_names(rows)

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)

    def post(self, request: Request) -> Any:
        """Book it."""
        form = SessionBookInputSerializer(data=request.data)
        form.is_valid(raise_exception=True)
        asked = form.to_request()
        return self.command(
            request,
            lambda uow: session_response(uow, session_book(uow, asked), 201),
            status=201,
            idempotency="required",
        )


@extend_schema_view(
    get=endpoint(
        "Read a session", response=SessionOutputSerializer, errors=(404,), tags=["sessions"]
    )
)
class SessionDetailView(ApiView):
    """A session."""

    roles = {"GET": ANY_STAFF}

    def get(self, request: Request, session_id: UUID) -> Response:
        """As it stands."""
        actor = self.actor(request)
        row = session_get(actor, session_id)
        self.log_read(request, row.client_id, "session")
        return self.read_response(serialize_session(actor.role, row), version=row.version)


@extend_schema_view(
    post=endpoint(
        "Move a session, or plan it anew",
        request=SessionMoveInputSerializer,
        response=SessionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="It keeps its id, and its length where only starts_at is given. A move alone "
        "never turns a session hands-on.",
        tags=["sessions"],
    )
)
class SessionMoveView(ApiView):
    """Another time, place or practitioner."""

    roles = {"POST": CARE}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Move it."""
        form = SessionMoveInputSerializer(data=request.data)
        form.is_valid(raise_exception=True)
        asked, version = form.to_request(session_id), self.if_match(request)
        return self.command(
            request, lambda uow: session_response(uow, session_move(uow, asked, if_match=version))
        )


@extend_schema_view(
    post=endpoint(
        "Call a session off",
        request=SessionCancelInputSerializer,
        response=SessionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["sessions"],
    )
)
class SessionCancellationView(ApiView):
    """Who called it off, and why."""

    roles = {"POST": CARE}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Call it off."""
        command = CancelSession(
            session_id=session_id, **SessionCancelInputSerializer.checked(request.data)
        )
        version = self.if_match(request)
        return self.command(
            request,
            lambda uow: session_response(uow, session_cancel(uow, command, if_match=version)),
        )
