"""Open times: the starts within working hours at which nobody needed is taken. Pure.

Spans are half-open intervals of aware datetimes. Starts lie on the practice's step of
the facility's clock; a local time in the gap is skipped and one in the fold is
offered once, its first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID

from practice.core.localtime import derived_instant, zone_named


@dataclass(frozen=True, slots=True)
class TimeSpan:
    """From ``begin`` up to, but not including, ``end``."""

    begin: datetime
    end: datetime

    def meets(self, other: TimeSpan) -> bool:
        """Whether the two share any moment."""
        return self.begin < other.end and other.begin < self.end


@dataclass(frozen=True, slots=True)
class WeeklyHours:
    """A weekly span of local time: ISO weekday 1 (Monday) to 7 (Sunday)."""

    weekday: int
    begin: time
    end: time


@dataclass(frozen=True, slots=True)
class OpenSlot:
    """A start that is open, with the room that is free then; None where none is needed."""

    practitioner_id: UUID
    room_id: UUID | None
    span: TimeSpan


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenTimesRequest:
    """What open times are asked for: local days, both included, and the length."""

    zone: str
    first_day: date
    last_day: date
    length: timedelta
    step: timedelta
    not_before: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenTimes:
    """Held times by whose they are. ``rooms`` None: the facility books without rooms."""

    practitioners: Mapping[UUID, Sequence[TimeSpan]]
    client: Sequence[TimeSpan]
    rooms: Mapping[UUID, Sequence[TimeSpan]] | None


def find_open_slots(
    asked: OpenTimesRequest,
    hours: Mapping[UUID, Sequence[WeeklyHours]],
    facility_hours: Sequence[WeeklyHours],
    taken: TakenTimes,
) -> Iterator[OpenSlot]:
    """Open times in order of start, then practitioner. No opening hours means always open."""
    day = asked.first_day
    while day <= asked.last_day:
        found = [
            opening
            for practitioner_id in sorted(hours)
            for opening in _of_day(day, practitioner_id, asked, hours, facility_hours, taken)
        ]
        yield from sorted(found, key=lambda one: (one.span.begin, one.practitioner_id))
        day += timedelta(days=1)


def _of_day(
    day: date,
    practitioner_id: UUID,
    asked: OpenTimesRequest,
    hours: Mapping[UUID, Sequence[WeeklyHours]],
    facility_hours: Sequence[WeeklyHours],
    taken: TakenTimes,
) -> Iterator[OpenSlot]:
    busy = [*taken.client, *taken.practitioners.get(practitioner_id, ())]
    for shift in hours[practitioner_id]:
        if shift.weekday != day.isoweekday():
            continue
        for span in _starts(day, shift, asked):
            if span.begin < asked.not_before or _meets(span, busy):
                continue
            if facility_hours and not _inside(day, span, facility_hours, asked.zone):
                continue
            for room_id in _free_room(span, taken):
                yield OpenSlot(practitioner_id, room_id, span)


def _starts(day: date, shift: WeeklyHours, asked: OpenTimesRequest) -> Iterator[TimeSpan]:
    """The spans of the asked length within a shift, on the step of the local clock."""
    here = zone_named(asked.zone)
    end = derived_instant(datetime.combine(day, shift.end), asked.zone)
    local = datetime.combine(day, shift.begin)
    while local.date() == day and local.time() < shift.end:
        begin = derived_instant(local, asked.zone)
        exists = begin.astimezone(here).replace(tzinfo=None, fold=0) == local
        if exists and begin + asked.length <= end:
            yield TimeSpan(begin, begin + asked.length)
        local += asked.step


def _inside(day: date, span: TimeSpan, hours: Sequence[WeeklyHours], zone: str) -> bool:
    """Whether one of the facility's spans of that weekday holds all of it."""
    return any(
        derived_instant(datetime.combine(day, one.begin), zone) <= span.begin
        and span.end <= derived_instant(datetime.combine(day, one.end), zone)
        for one in hours
        if one.weekday == day.isoweekday()
    )


def _free_room(span: TimeSpan, taken: TakenTimes) -> list[UUID | None]:
    """The first free room; None alone where none is needed; nothing where all are taken."""
    if taken.rooms is None:
        return [None]
    free: list[UUID | None] = [r for r, busy in taken.rooms.items() if not _meets(span, busy)]
    return free[:1]


def _meets(span: TimeSpan, busy: Iterable[TimeSpan]) -> bool:
    return any(span.meets(other) for other in busy)
