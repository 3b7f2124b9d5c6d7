"""What a slot is warned of on the client's side: where they are known, what suits them, how
often they are to come. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from clients.identity.domain.contact import UnsuitableTime
from clients.identity.domain.unsuitable import unsuitable, unsuitable_reasons
from practice.core.localtime import local_day
from practice.core.reasons import Reason
from sessions.booking.domain.commands import Slot
from sessions.booking.domain.rhythm import (
    ClientSession,
    booked_in_week,
    no_show_days,
    no_show_warnings,
    week_warnings,
)
from sessions.calendar.domain.settings import CalendarSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientSide:
    """Of the client's record: the facilities where they are known, their IANA zone, the times
    that do not suit and the sessions planned for a week; and their sessions."""

    known_at: frozenset[UUID] = frozenset()
    zone: str = "UTC"
    unsuitable_times: tuple[UnsuitableTime, ...] = ()
    planned_per_week: int | None = None
    sessions: tuple[ClientSession, ...] = ()


def client_warnings(
    slot: Slot,
    client: ClientSide,
    settings: CalendarSettings,
    now: datetime,
    session_id: UUID | None = None,
) -> list[Reason]:
    """What a session in the slot is warned of; ``session_id``: the one that would be moved. Of
    one that is over only that its client is not known there."""
    if slot.ends_at <= now:
        return _not_known_here(slot, client)
    day, today = slot.local_start.date(), local_day(now, slot.zone)
    booked = 1 + booked_in_week(client.sessions, day, without=session_id)
    touched = unsuitable(client.unsuitable_times, client.zone, slot.starts_at, slot.ends_at)
    return [
        *_not_known_here(slot, client),
        *unsuitable_reasons(touched),
        *week_warnings(client.planned_per_week, booked, day),
        *no_show_warnings(no_show_days(client.sessions, today, settings), settings),
    ]


def _not_known_here(slot: Slot, client: ClientSide) -> list[Reason]:
    """A warning where the client is not known at the facility: its staff do not see the record."""
    if slot.facility_id in client.known_at:
        return []
    text = "The client is not known at this facility: add it to the client's record."
    return [Reason(code="not_known_here", text=text, source="the client's record")]
