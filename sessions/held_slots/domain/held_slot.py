"""Times of a practitioner that are held for evaluations of new clients. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID

from practice.core.localtime import derived_instant, local_day, minute_after, minute_of
from practice.core.reasons import Reason, invalid
from practice.core.spans import Span, merged
from sessions.calendar.domain.terms import SessionPurpose

_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldSlot:
    """On the facility's clock, each week on an ISO ``weekday`` or on one ``day``; from
    ``release_hours`` before it begins on it is anybody's."""

    id: UUID
    practitioner_id: UUID
    starts: time
    ends: time
    release_hours: int
    weekday: int | None = None
    day: date | None = None

    def on(self, day: date, zone: str) -> tuple[datetime, datetime] | None:
        """When it is on a local day, as instants; None where it is not."""
        if day != self.day and day.isoweekday() != self.weekday:
            return None
        begin, end = (datetime.combine(day, at) for at in (self.starts, self.ends))
        return derived_instant(begin, zone), derived_instant(end, zone)


def held_on(one: HeldSlot, day: date, zone: str, now: datetime) -> tuple[datetime, datetime] | None:
    """When it is on a local day, while it is not released to all."""
    span = one.on(day, zone)
    if span is None or now >= span[0] - timedelta(hours=one.release_hours):
        return None
    return span


def held_spans(slots: Iterable[HeldSlot], day: date, zone: str, now: datetime) -> list[Span]:
    """The minutes of a local day that are held."""
    found = (held_on(one, day, zone, now) for one in slots)
    return merged((minute_of(one[0]), minute_after(one[1])) for one in found if one is not None)


def held_reasons(
    slots: Iterable[HeldSlot], begin: datetime, end: datetime, zone: str, now: datetime
) -> tuple[Reason, ...]:
    """Why a time is not for other purposes: each slot that it would take from."""
    first, last = local_day(begin, zone), local_day(end, zone)
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    found: list[Reason] = []
    for one in slots:
        spans = (held_on(one, day, zone, now) for day in days)
        if any(span is not None and begin < span[1] and span[0] < end for span in spans):
            found.append(held_reason(one))
    return tuple(found)


def held_reason(one: HeldSlot, name: str = "The practitioner") -> Reason:
    """Which time of whom is held, and from when on it is anybody's."""
    when = one.day.isoformat() if one.day else f"{_WEEKDAYS[(one.weekday or 1) - 1]}s"
    until = f"{one.release_hours} hours before" if one.release_hours else "it begins"
    span = f"{one.starts:%H:%M} to {one.ends:%H:%M}"
    text = f"{name}: {when} {span} is held for evaluations until {until}."
    return Reason(code="held_for_evaluations", text=text, source="the practice's held slots")


def for_all(purpose: SessionPurpose | None) -> bool:
    """Whether a purpose must leave held time alone: all but an evaluation."""
    return purpose is not SessionPurpose.EVALUATION


def check_held(weekday: int | None, day: date | None, starts: time, ends: time) -> None:
    """Raises Rejected 400 for a slot that is not of a weekday or a day, or ends too early."""
    if (weekday is None) == (day is None):
        raise invalid("weekday", "Give a weekday, for each week, or one day; not both.")
    if ends <= starts:
        raise invalid("ends", "It ends after it begins, on the same day.")
