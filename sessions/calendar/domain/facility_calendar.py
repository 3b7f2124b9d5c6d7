"""When a facility is open and when its people work there. Pure.

The one answer for booking, open times, re-checks and supervision. Hours are spans of the
facility's own clock; they are compared as instants, so that the hour of a clock change is
the same for an offer and for the booking of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import cached_property
from typing import Final, TypeAlias
from uuid import UUID

from practice.core.localtime import day_minutes, derived_instant, local_day, minute_after, minute_of
from practice.core.reasons import Reason
from practice.core.spans import Span, merged

LONGEST_CLOSURE = 366
MINUTES_OF_A_DAY = 24 * 60

HoursOfDays: TypeAlias = Mapping[int, list[Span]]
"""By ISO weekday: spans in minutes of the clock since midnight, in order; none is empty."""
NO_HOURS: Final[HoursOfDays] = {}


@dataclass(frozen=True, slots=True)
class WeeklyHours:
    """A weekly span of local time: ISO weekday 1 (Monday) to 7 (Sunday). An end of 00:00 is the
    end of that day."""

    weekday: int
    begin: time
    end: time


@dataclass(frozen=True, kw_only=True)
class FacilityCalendar:
    """``opening_hours`` empty: not on record, so the hours are unknown and ``usual_weekdays``
    (ISO, Monday 1) say on which days it is open. ``closed_days`` close it whatever its hours.
    ``working_hours``: by practitioner, at this facility. ``zone`` is its IANA zone.
    """

    zone: str
    usual_weekdays: frozenset[int] = frozenset()
    closed_days: frozenset[date] = frozenset()
    opening_hours: Sequence[WeeklyHours] = ()
    working_hours: Mapping[UUID, Sequence[WeeklyHours]] = field(default_factory=dict)

    def is_open_on(self, day: date) -> bool:
        """Whether it is open at any time of a local day."""
        weekdays = {one.weekday for one in self.opening_hours} or self.usual_weekdays
        return day.isoweekday() in weekdays and day not in self.closed_days

    def why_closed(self, day: date) -> Reason | None:
        """Why nothing takes place there on a local day; None where it is not closed."""
        if day in self.closed_days:
            text = f"The practice is closed on {day.isoformat()}."
            return Reason(code="closed_day", text=text, source="practice policy")
        if self.opening_hours and not self.is_open_on(day):
            text = f"The facility is closed on {day:%A}s."
            return Reason(code="closed_weekday", text=text, source="the facility's opening hours")
        return None

    def open_day_from(self, day: date) -> date:
        """The day itself or the next open one; the day itself where none is open within a year."""
        later = (day + timedelta(days=n) for n in range(LONGEST_CLOSURE))
        return next((one for one in later if self.is_open_on(one)), day)

    def within_opening_hours(self, begin: datetime, end: datetime) -> bool:
        """Whether a time lies within its hours of that day; true where none are on record."""
        return not self.opening_hours or self._covered(self._opening, begin, end)

    def is_open(self, begin: datetime, end: datetime) -> bool:
        """Whether a time lies within its hours and on none of the closed days."""
        closed = local_day(begin, self.zone) in self.closed_days
        return not closed and self.within_opening_hours(begin, end)

    def works(self, practitioner_id: UUID, begin: datetime, end: datetime) -> bool:
        """Whether the practitioner's hours here cover a time."""
        return self._covered(self._working.get(practitioner_id, NO_HOURS), begin, end)

    def works_on(self, practitioner_id: UUID, day: date) -> bool:
        """Whether the practitioner works here on a day's weekday."""
        hours = self.working_hours.get(practitioner_id, ())
        return any(one.weekday == day.isoweekday() for one in hours)

    def anyone_works_on(self, day: date) -> bool:
        """Whether a local day has any hours in which someone could work here."""
        weekday = day.isoweekday()
        opens = weekday in self._opening or not self.opening_hours
        return opens and weekday in self._working_weekdays and day not in self.closed_days

    def working_spans(self, practitioner_id: UUID, day: date) -> list[Span]:
        """When the practitioner works here on a local day, in minutes."""
        return self._spans(self._working.get(practitioner_id, NO_HOURS), day)

    def opening_spans(self, day: date) -> list[Span]:
        """When it is open on a local day, in minutes; a day and a night where no hours are on
        record."""
        if day in self.closed_days:
            return []
        if not self.opening_hours:
            begin, end = day_minutes(day, self.zone)
            return [(begin, end + MINUTES_OF_A_DAY)]
        return self._spans(self._opening, day)

    def instant(self, day: date, at: time) -> datetime:
        """A time of the facility's clock on a day; forward out of a gap, first of a fold."""
        return derived_instant(datetime.combine(day, at), self.zone)

    @cached_property
    def _opening(self) -> HoursOfDays:
        return _of_weekdays(self.opening_hours)

    @cached_property
    def _working(self) -> dict[UUID, HoursOfDays]:
        return {one: _of_weekdays(hours) for one, hours in self.working_hours.items()}

    @cached_property
    def _working_weekdays(self) -> frozenset[int]:
        return frozenset(weekday for hours in self._working.values() for weekday in hours)

    def _covered(self, hours: HoursOfDays, begin: datetime, end: datetime) -> bool:
        """Whether the hours of the day on which the time begins hold all of it."""
        first, last = minute_of(begin), minute_after(end)
        spans = self._spans(hours, local_day(begin, self.zone))
        return any(opens <= first and last <= closes for opens, closes in spans)

    def _spans(self, hours: HoursOfDays, day: date) -> list[Span]:
        """Some hours on a local day: those that touch are one, over midnight too."""
        of_day = hours.get(day.isoweekday())
        if of_day is None:
            return []
        spans = self._on(day, of_day)
        if of_day[-1][1] == MINUTES_OF_A_DAY:
            following = day + timedelta(days=1)
            of_night = self._on(following, hours.get(following.isoweekday(), ()))
            spans = merged([*spans, *(one for one in of_night if one[0] == spans[-1][1])])
        return spans

    def _on(self, day: date, of_day: Sequence[Span]) -> list[Span]:
        begin, end = day_minutes(day, self.zone)
        if end - begin == MINUTES_OF_A_DAY:
            return [(begin + first, begin + last) for first, last in of_day]
        return merged((self._minute(day, first), self._minute(day, last)) for first, last in of_day)

    def _minute(self, day: date, of_clock: int) -> int:
        """A minute of the clock on the day of a change."""
        days, minute = divmod(of_clock, MINUTES_OF_A_DAY)
        return minute_of(self.instant(day + timedelta(days=days), time(*divmod(minute, 60))))


def _of_weekdays(hours: Iterable[WeeklyHours]) -> HoursOfDays:
    found: defaultdict[int, list[Span]] = defaultdict(list)
    for one in hours:
        found[one.weekday].append((_minutes(one.begin), _minutes(one.end) or MINUTES_OF_A_DAY))
    return {weekday: merged(spans) for weekday, spans in found.items()}


def _minutes(at: time) -> int:
    return at.hour * 60 + at.minute
