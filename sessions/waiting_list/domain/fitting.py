"""Whether a free time suits a client who waits; whether they may have it, booking says. Pure."""

from __future__ import annotations

from collections.abc import Collection
from datetime import UTC, date, datetime, timedelta
from typing import Protocol
from uuid import UUID

from practice.core.localtime import zone_named
from practice.core.reasons import Reason
from sessions.booking.domain.free_time import FreeTime
from sessions.calendar.domain.terms import SessionPurpose
from sessions.kinds.domain.kind import SessionKind


class Wanted(Protocol):
    """What suits, as the row of the waiting list has it."""

    minutes: int
    facility_ids: list[str]
    weekdays: list[int]
    earliest: int | None
    latest: int | None
    first_day: date | None
    last_day: date | None


def minutes_taken(wanted: Wanted, free: FreeTime) -> int:
    """So long the session would be: as it is waited for; a place in a class as the class is."""
    return wanted.minutes if free.class_id is None else free.minutes


def suits(wanted: Wanted, free: FreeTime, zone: str) -> bool:
    """Whether a session of the wanted length from the start of a free time lies in it and in what
    suits, on the clock of ``zone``."""
    if wanted.minutes > free.minutes:
        return False
    if wanted.facility_ids and str(free.facility_id) not in wanted.facility_ids:
        return False
    here, begin = zone_named(zone), free.starts_at.astimezone(UTC)
    end = (begin + timedelta(minutes=minutes_taken(wanted, free))).astimezone(here)
    begin = begin.astimezone(here)
    return _on_a_day(wanted, begin.date()) and _within_the_clock(wanted, begin, end)


def unsuited_warnings(wanted: Wanted, free: FreeTime, zone: str) -> list[Reason]:
    """A warning where what is offered is not what the client said suits them: only they can say
    that it does all the same."""
    if suits(wanted, free, zone):
        return []
    at = free.starts_at.astimezone(zone_named(zone))
    text = f"{at:%A %Y-%m-%d at %H:%M} is not what the client waits for: ask whether it suits."
    return [Reason(code="not_as_waited_for", text=text, source="the waiting list")]


def _on_a_day(wanted: Wanted, day: date) -> bool:
    if wanted.weekdays and day.isoweekday() not in wanted.weekdays:
        return False
    if wanted.first_day is not None and day < wanted.first_day:
        return False
    return wanted.last_day is None or day <= wanted.last_day


def _within_the_clock(wanted: Wanted, begin: datetime, end: datetime) -> bool:
    midnight = datetime.combine(begin.date(), datetime.min.time())
    first = (begin.replace(tzinfo=None) - midnight) // timedelta(minutes=1)
    last = (end.replace(tzinfo=None) - midnight) // timedelta(minutes=1)
    if wanted.earliest is not None and first < wanted.earliest:
        return False
    return wanted.latest is None or last <= wanted.latest


def may_be_in_a_class(purpose: SessionPurpose, kind: SessionKind | None) -> bool:
    """Whether what a client waits for can be had as a place in a class: a treatment, and of no
    kind that is done by hand."""
    return purpose is SessionPurpose.TREATMENT and (kind is None or not kind.hands_on)


def known_there(wanted: Wanted, facility_id: UUID, known_at: Collection[str]) -> bool:
    """Whether a client who named no facility is known at the one of the free time."""
    return bool(wanted.facility_ids) or str(facility_id) in known_at
