"""Open times: the starts within working hours at which nobody needed is taken. Pure.

Spans are half-open intervals of aware datetimes. Starts lie on the practice's step of
the facility's clock; a local time in the gap is skipped and one in the fold is
offered once, its first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from practice.core.localtime import zone_named
from sessions.calendar.domain.facility_calendar import FacilityCalendar, WeeklyHours


@dataclass(frozen=True, slots=True)
class TimeSpan:
    """From ``begin`` up to, but not including, ``end``."""

    begin: datetime
    end: datetime

    def meets(self, other: TimeSpan) -> bool:
        """Whether the two share any moment."""
        return self.begin < other.end and other.begin < self.end


@dataclass(frozen=True, slots=True)
class OpenSlot:
    """A start that is open, with the room that is free then; None where none is needed."""

    practitioner_id: UUID
    room_id: UUID | None
    span: TimeSpan


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenTimesRequest:
    """What open times are asked for: local days, both included, and the length."""

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
    asked: OpenTimesRequest, calendar: FacilityCalendar, taken: TakenTimes
) -> Iterator[OpenSlot]:
    """Open times in order of start, then practitioner, of everyone with hours there.

    No opening hours on record means always open; the closed days are not asked here, a
    booking on one of them is warned of.
    """
    day = asked.first_day
    while day <= asked.last_day:
        found = [
            opening
            for practitioner_id in sorted(calendar.working_hours)
            for opening in _of_day(day, practitioner_id, asked, calendar, taken)
        ]
        yield from sorted(found, key=lambda one: (one.span.begin, one.practitioner_id))
        day += timedelta(days=1)


def _of_day(
    day: date,
    practitioner_id: UUID,
    asked: OpenTimesRequest,
    calendar: FacilityCalendar,
    taken: TakenTimes,
) -> Iterator[OpenSlot]:
    busy = [*taken.client, *taken.practitioners.get(practitioner_id, ())]
    for shift in calendar.shifts(practitioner_id, day):
        for span in _starts(day, shift, asked, calendar):
            if span.begin < asked.not_before or _meets(span, busy):
                continue
            if not calendar.within_opening_hours(span.begin, span.end):
                continue
            for room_id in _free_room(span, taken):
                yield OpenSlot(practitioner_id, room_id, span)


def _starts(
    day: date, shift: WeeklyHours, asked: OpenTimesRequest, calendar: FacilityCalendar
) -> Iterator[TimeSpan]:
    """The spans of the asked length within a shift, on the step of the local clock."""
    here = zone_named(calendar.zone)
    end = calendar.instant(day, shift.end)
    local = datetime.combine(day, shift.begin)
    while local.date() == day and local.time() < shift.end:
        begin = calendar.instant(day, local.time())
        exists = begin.astimezone(here).replace(tzinfo=None, fold=0) == local
        if exists and begin + asked.length <= end:
            yield TimeSpan(begin, begin + asked.length)
        local += asked.step


def _free_room(span: TimeSpan, taken: TakenTimes) -> list[UUID | None]:
    """The first free room; None alone where none is needed; nothing where all are taken."""
    if taken.rooms is None:
        return [None]
    free: list[UUID | None] = [r for r, busy in taken.rooms.items() if not _meets(span, busy)]
    return free[:1]


def _meets(span: TimeSpan, busy: Iterable[TimeSpan]) -> bool:
    return any(span.meets(other) for other in busy)
