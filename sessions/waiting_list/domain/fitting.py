"""Whether a free time suits a client who waits; whether they may have it, booking says. Pure."""

from __future__ import annotations

from collections.abc import Collection
from datetime import UTC, date, datetime, timedelta
from typing import Protocol
from uuid import UUID

from practice.core.localtime import zone_named


class Wanted(Protocol):
    """What suits, as the row of the waiting list has it."""

    minutes: int
    facility_ids: list[str]
    weekdays: list[int]
    earliest: int | None
    latest: int | None
    first_day: date | None
    last_day: date | None


def suits(wanted: Wanted, starts_at: datetime, minutes: int, zone: str, facility_id: UUID) -> bool:
    """Whether a session of the wanted length from ``starts_at`` lies in the free ``minutes`` and
    in what suits, on the clock of ``zone``."""
    if wanted.minutes > minutes:
        return False
    if wanted.facility_ids and str(facility_id) not in wanted.facility_ids:
        return False
    here, begin = zone_named(zone), starts_at.astimezone(UTC)
    end = (begin + timedelta(minutes=wanted.minutes)).astimezone(here)
    begin = begin.astimezone(here)
    return _on_a_day(wanted, begin.date()) and _within_the_clock(wanted, begin, end)


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


def known_there(wanted: Wanted, facility_id: UUID, known_at: Collection[str]) -> bool:
    """Whether a client who named no facility is known at the one of the free time."""
    return bool(wanted.facility_ids) or str(facility_id) in known_at
