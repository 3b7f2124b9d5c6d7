"""Sessions: list, book, read, move, call off."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.selectors.names import named
from practice.api.describe import described
from practice.api.filters import FilterSet
from practice.api.roles import ANY_STAFF, CARE
from practice.api.views import Answer, ApiView, ListView
from practice.domain.terms import Role
from practice.eventlog.runner import Work
from sessions.api.forms.calendar import (
    BookForm,
    CancelForm,
    MoveForm,
    SessionForm,
    shown_session,
)
from sessions.domain.calendar.commands import Cancel
from sessions.domain.calendar.state import Status
from sessions.models import Session
from sessions.selectors.calendar import session_get, session_list
from sessions.services.calendar import Done, session_book, session_cancel, session_move


def answer(work: Work, done: Done, status: int | None = None) -> Answer:
    """The session as it stands after a command, with the command's warnings."""
    row = Session.objects.get(pk=done.session_id)
    shown = shown_session(work.actor.role, row, done.warnings)
    return Answer(shown, status=status, version=row.version)


class SessionFilter(FilterSet):
    """Filters of the list of sessions."""

    facility = django_filters.UUIDFilter(field_name="facility_id", help_text="At a facility.")
    practitioner = django_filters.UUIDFilter(
        field_name="practitioner_id", help_text="Of a practitioner."
    )
    client = django_filters.UUIDFilter(field_name="client_id", help_text="Of a client.")
    date_from = django_filters.DateFilter(
        field_name="local_date", lookup_expr="gte", help_text="First local day, `2026-03-09`."
    )
    date_to = django_filters.DateFilter(
        field_name="local_date", lookup_expr="lte", help_text="Last local day, itself included."
    )
    status = django_filters.ChoiceFilter(
        choices=[(one.value, one.value) for one in Status], help_text="E.g. `booked`."
    )
    flagged = django_filters.BooleanFilter(help_text="true: those that narrowed since planned.")

    class Meta:
        model = Session
        fields = ("facility", "practitioner", "client", "status", "flagged")

    @classmethod
    def get_filters(cls) -> Any:
        """``from`` and ``to`` are words of the language, so they are named here."""
        filters = super().get_filters()
        filters["from"] = filters.pop("date_from")
        filters["to"] = filters.pop("date_to")
        return filters


@extend_schema_view(
    get=described("List sessions", gives=SessionForm(many=True), tags=["sessions"]),
    post=described(
        "Book a session, or enter one that took place",
        takes=BookForm,
        gives=SessionForm,
        status=201,
        refuses=(404, 409),
        idempotency="required",
        description="Hands-on where it is permitted; else self-directed, with the reasons.",
        tags=["sessions"],
    ),
)
class Sessions(ListView):
    """The sessions at the facilities that I see."""

    roles = {"GET": ANY_STAFF, "POST": CARE}
    serializer_class = SessionForm
    filterset_class = SessionFilter
    order = ("starts_at", "id")

    def get_queryset(self) -> QuerySet[Session]:
        """Mine."""
        return session_list(self.actor(self.request))

    def get_serializer(self, *args: Any, **kwargs: Any) -> Any:
        """Rows as this role may read them."""
        role = Role(self.staff(self.request).role)
        rows = [shown_session(role, row) for row in args[0]]
        return SessionForm(rows, **kwargs)

    def prepared(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "sessions")
        return named(rows)

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)

    def post(self, request: Request) -> Any:
        """Book it."""
        form = BookForm(data=request.data)
        form.is_valid(raise_exception=True)
        asked = form.to_request()
        return self.command(
            request,
            lambda work: answer(work, session_book(work, asked), 201),
            status=201,
            idempotency="required",
        )


@extend_schema_view(
    get=described("Read a session", gives=SessionForm, refuses=(404,), tags=["sessions"])
)
class OneSession(ApiView):
    """A session."""

    roles = {"GET": ANY_STAFF}

    def get(self, request: Request, session_id: UUID) -> Response:
        """As it stands."""
        actor = self.actor(request)
        row = session_get(actor, session_id)
        self.log_read(request, row.client_id, "session")
        return self.shown(shown_session(actor.role, row), version=row.version)


@extend_schema_view(
    post=described(
        "Move a session, or plan it anew",
        takes=MoveForm,
        gives=SessionForm,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        description="It keeps its id, and its length where only starts_at is given. A move alone "
        "never turns a session hands-on.",
        tags=["sessions"],
    )
)
class MoveSession(ApiView):
    """Another time, place or practitioner."""

    roles = {"POST": CARE}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Move it."""
        form = MoveForm(data=request.data)
        form.is_valid(raise_exception=True)
        asked, version = form.to_request(session_id), self.if_match(request)
        return self.command(
            request, lambda work: answer(work, session_move(work, asked, if_match=version))
        )


@extend_schema_view(
    post=described(
        "Call a session off",
        takes=CancelForm,
        gives=SessionForm,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["sessions"],
    )
)
class CancelSession(ApiView):
    """Who called it off, and why."""

    roles = {"POST": CARE}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Call it off."""
        command = Cancel(session_id=session_id, **CancelForm.checked(request.data))
        version = self.if_match(request)
        return self.command(
            request, lambda work: answer(work, session_cancel(work, command, if_match=version))
        )
