"""What the client's record and calendar say of any slot, read once for all of them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

import msgspec
from django.db.models import Q

from clients.identity.domain.contact import UnsuitableTime
from clients.identity.models import Client
from sessions.booking.domain.client_side import ClientSide
from sessions.booking.domain.rhythm import COMING, ClientSession, week_of
from sessions.calendar.domain.session_state import CalendarState, SessionStatus
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.models import Session

_COLUMNS = ("facility_ids", "zone", "unsuitable_times", "planned_sessions_per_week")


def client_side(client_id: UUID, sessions: Iterable[ClientSession]) -> ClientSide:
    """The client's side with the sessions that are given; of an erased client nothing."""
    row = Client.objects.filter(pk=client_id).values_list(*_COLUMNS).first()
    if row is None:
        return ClientSide(sessions=tuple(sessions))
    known_at, zone, times, planned = row
    return ClientSide(
        known_at=frozenset(UUID(str(one)) for one in known_at),
        zone=zone,
        unsuitable_times=unsuitable_times_of(times),
        planned_per_week=planned,
        sessions=tuple(sessions),
    )


def unsuitable_times_of(stored: Any) -> tuple[UnsuitableTime, ...]:
    """The times as a row of the client keeps them."""
    return msgspec.convert(stored, tuple[UnsuitableTime, ...])


def sessions_in_state(state: CalendarState) -> list[ClientSession]:
    """All sessions of a client whose calendar is at hand."""
    return [ClientSession(one.id, one.local_date, one.status) for one in state.sessions.values()]


def sessions_between(
    client_ids: Iterable[UUID],
    first: date,
    last: date,
    now: datetime,
    settings: CalendarSettings,
) -> dict[UUID, list[ClientSession]]:
    """Those of some clients that count for the weeks from ``first`` to ``last``, and their
    no-shows of the practice's period on any clock, with one query."""
    today = now.astimezone(UTC).date()
    coming = Q(
        status__in=COMING,
        local_date__gte=week_of(first),
        local_date__lt=week_of(last) + timedelta(days=7),
    )
    missed = Q(
        status=SessionStatus.NO_SHOW,
        local_date__gte=today - timedelta(days=settings.no_show_days),
        local_date__lte=today + timedelta(days=1),
    )
    found: dict[UUID, list[ClientSession]] = {one: [] for one in client_ids}
    rows = Session.objects.filter(coming | missed, client_id__in=found)
    for client_id, session_id, day, status in rows.values_list(
        "client_id", "id", "local_date", "status"
    ):
        found[client_id].append(ClientSession(session_id, day, status))
    return found
