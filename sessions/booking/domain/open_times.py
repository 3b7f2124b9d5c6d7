"""Open times: the starts within working hours at which nobody needed is taken. Pure.

Everything is counted in minutes, in runs: a practitioner, the first start, and how many follow
on the practice's step. A run is cheap, however many starts it has, and a day is looked at only
when somebody asks for it. Starts lie on the step counted from the begin of the working hours; a
local time in the gap is skipped and one in the fold is offered once, its first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import NamedTuple
from uuid import UUID

from practice.core.localtime import day_minutes, instant_of, minute_after, zone_named
from practice.core.spans import (
    Span,
    common,
    free_starts,
    merged,
    starts_within,
    without,
)
from sessions.calendar.domain.facility_calendar import FacilityCalendar
from sessions.calendar.domain.held_time import NO_BUFFERS, Buffers


@dataclass(frozen=True, slots=True)
class OpenSlot:
    """A start that is open, with the room that is free then; None where none is needed."""

    practitioner_id: UUID
    room_id: UUID | None
    begin: datetime
    end: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenTimesRequest:
    """What open times are asked for: local days, both included, the length and the step in
    minutes, and the buffers that are kept free. ``weekdays``: ISO (Monday 1), empty for all. Of
    the facility's clock, where they are given: a session begins at ``earliest`` or later and
    before ``begins_before``, and ends by ``latest``."""

    first_day: date
    last_day: date
    length: int
    step: int
    not_before: datetime
    buffers: Buffers = NO_BUFFERS
    weekdays: frozenset[int] = frozenset()
    earliest: time | None = None
    begins_before: time | None = None
    latest: time | None = None

    def days(self) -> list[date]:
        """The days asked for, in order."""
        length = (self.last_day - self.first_day).days + 1
        found = (self.first_day + timedelta(days=n) for n in range(length))
        return [one for one in found if not self.weekdays or one.isoweekday() in self.weekdays]


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenTimes:
    """Held times by whose they are. ``rooms`` None: the facility books without rooms."""

    practitioners: Mapping[UUID, Sequence[Span]]
    client: Sequence[Span]
    rooms: Mapping[UUID, Sequence[Span]] | None


class OpenRun(NamedTuple):
    """Starts of one practitioner that follow each other on the step."""

    practitioner_id: UUID
    first: int
    number: int


class OpenDay:
    """What is open at a facility on a local day, its starts counted but not yet made."""

    def __init__(self, runs: list[OpenRun], asked: OpenTimesRequest, rooms: Rooms | None) -> None:
        self.runs = runs
        self.count = sum(run.number for run in runs)
        self._asked = asked
        self._rooms = rooms

    def at(self, place: int) -> OpenSlot:
        """One start by its place, practitioner by practitioner: 0 up to ``count``."""
        for run in self.runs:
            if place < run.number:
                return self._slot(run.first + place * self._asked.step, run.practitioner_id)
            place -= run.number
        raise IndexError(place)

    def in_order(self) -> Iterator[OpenSlot]:
        """All starts in order of time, then practitioner."""
        found = sorted(
            (run.first + n * self._asked.step, run.practitioner_id)
            for run in self.runs
            for n in range(run.number)
        )
        return (self._slot(minute, who) for minute, who in found)

    def only(self, wanted: Callable[[UUID], bool]) -> OpenDay:
        """The same with some of the practitioners alone."""
        asked = {one: wanted(one) for one in {run.practitioner_id for run in self.runs}}
        left = [run for run in self.runs if asked[run.practitioner_id]]
        return OpenDay(left, self._asked, self._rooms)

    def _slot(self, minute: int, practitioner_id: UUID) -> OpenSlot:
        end = minute + self._asked.length
        room_id = None if self._rooms is None else self._rooms.free_at(minute, end)
        return OpenSlot(practitioner_id, room_id, instant_of(minute), instant_of(end))


class Rooms:
    """The rooms of a facility, in the order in which they are offered, and when each is taken."""

    def __init__(self, taken: Mapping[UUID, Sequence[Span]]) -> None:
        self._taken = {room: merged(spans) for room, spans in taken.items()}

    def starts(self, spans: Sequence[Span], length: int) -> list[Span]:
        """The minutes at which at least one room can be had for a length."""
        return merged(
            one
            for taken in self._taken.values()
            for one in starts_within(without(spans, taken), length)
        )

    def free_at(self, begin: int, end: int) -> UUID:
        """The first room that is free all that time; there is one."""
        return next(
            room for room, taken in self._taken.items() if not common([(begin, end)], taken)
        )


class FacilityTimes:
    """The open times of one facility, day by day."""

    def __init__(
        self, asked: OpenTimesRequest, calendar: FacilityCalendar, taken: TakenTimes
    ) -> None:
        self._asked = asked
        self._calendar = calendar
        self._people = {
            one: merged([*taken.client, *taken.practitioners.get(one, ())])
            for one in sorted(calendar.working_hours)
        }
        self._rooms = None if taken.rooms is None else Rooms(taken.rooms)

    def day(self, day: date) -> OpenDay:
        """What is open on a local day, by everyone with hours there. No opening hours on record
        means always open; a closed day has nothing."""
        spans = common(self._calendar.opening_spans(day), self._window(day))
        may_start = self._may_start(day, spans) if spans else []
        if not may_start:
            return OpenDay([], self._asked, self._rooms)
        starts: dict[Span, list[Span]] = {}
        runs: list[OpenRun] = []
        for practitioner_id, busy in self._people.items():
            for shift in self._calendar.working_spans(practitioner_id, day):
                if shift not in starts:
                    within = starts_within([shift], self._asked.length)
                    starts[shift] = common(within, may_start)
                free = free_starts(starts[shift], busy, self._asked.length)
                runs += self._runs(practitioner_id, shift[0], free)
        return OpenDay(runs, self._asked, self._rooms)

    def _window(self, day: date) -> list[Span]:
        """The part of a day, and of the night after it, in which a session may lie."""
        asked, calendar = self._asked, self._calendar
        begin, end = day_minutes(day, calendar.zone)
        if asked.earliest is not None:
            begin = minute_after(calendar.instant(day, asked.earliest))
        end += asked.length
        if asked.latest is not None:
            end = minute_after(calendar.instant(day, asked.latest))
        begin = max(begin, minute_after(asked.not_before))
        return [(begin, end)] if begin < end else []

    def _may_start(self, day: date, spans: Sequence[Span]) -> list[Span]:
        """The minutes of a day at which a session may begin, whoever it is with."""
        zone, length, before = self._calendar.zone, self._asked.length, self._asked.begins_before
        begin, end = day_minutes(day, zone)
        if before is not None:
            end = minute_after(self._calendar.instant(day, before))
        found = starts_within(spans, length)
        if self._rooms is not None:
            found = common(found, self._rooms.starts(spans, length))
        return without(common(found, [(begin, end)]), _second_of_fold(day, zone))

    def _runs(self, practitioner_id: UUID, anchor: int, free: Sequence[Span]) -> list[OpenRun]:
        """The free minutes that lie on the step counted from a minute."""
        step, found = self._asked.step, []
        for first, end in free:
            start = first + (anchor - first) % step
            if start < end:
                found.append(OpenRun(practitioner_id, start, (end - 1 - start) // step + 1))
        return found


def find_open_slots(
    asked: OpenTimesRequest, calendar: FacilityCalendar, taken: TakenTimes
) -> Iterator[OpenSlot]:
    """All open times of a facility in order of start, then practitioner."""
    times = FacilityTimes(asked, calendar, taken)
    for day in asked.days():
        yield from times.day(day).in_order()


@lru_cache(maxsize=1024)
def _second_of_fold(day: date, zone: str) -> list[Span]:
    """The minutes of a local day whose clock times came before: the second hour of a fold."""
    begin, end = day_minutes(day, zone)
    if end - begin <= 24 * 60:
        return []
    here = zone_named(zone)
    again = [
        minute for minute in range(begin, end) if instant_of(minute).astimezone(here).fold == 1
    ]
    return merged((minute, minute + 1) for minute in again)
