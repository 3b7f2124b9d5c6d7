"""When a facility is open and when its people work there. Pure.

The one answer for booking, open times, re-checks and supervision. Hours are spans of the
facility's own clock; they are compared as instants, so that the hour of a clock change is
the same for an offer and for the booking of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from uuid import UUID

from practice.core.localtime import derived_instant, local_day

LONGEST_CLOSURE = 366


@dataclass(frozen=True, slots=True)
class WeeklyHours:
    """A weekly span of local time: ISO weekday 1 (Monday) to 7 (Sunday)."""

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

    def open_day_from(self, day: date) -> date:
        """The day itself or the next open one; the day itself where none is open within a year."""
        later = (day + timedelta(days=n) for n in range(LONGEST_CLOSURE))
        return next((one for one in later if self.is_open_on(one)), day)

    def within_opening_hours(self, begin: datetime, end: datetime) -> bool:
        """Whether a time lies within its hours of that weekday; true where none are on record."""
        return not self.opening_hours or self._covered(self.opening_hours, begin, end)

    def is_open(self, begin: datetime, end: datetime) -> bool:
        """Whether a time lies within its hours and on none of the closed days."""
        closed = local_day(begin, self.zone) in self.closed_days
        return not closed and self.within_opening_hours(begin, end)

    def works(self, practitioner_id: UUID, begin: datetime, end: datetime) -> bool:
        """Whether the practitioner's hours here cover a time."""
        return self._covered(self.working_hours.get(practitioner_id, ()), begin, end)

    def works_on(self, practitioner_id: UUID, day: date) -> bool:
        """Whether the practitioner works here on a day's weekday."""
        hours = self.working_hours.get(practitioner_id, ())
        return any(one.weekday == day.isoweekday() for one in hours)

    def shifts(self, practitioner_id: UUID, day: date) -> list[WeeklyHours]:
        """The practitioner's spans here on a day's weekday."""
        hours = self.working_hours.get(practitioner_id, ())
        return [one for one in hours if one.weekday == day.isoweekday()]

    def instant(self, day: date, at: time) -> datetime:
        """A time of the facility's clock on a day; forward out of a gap, first of a fold."""
        return derived_instant(datetime.combine(day, at), self.zone)

    def _covered(self, hours: Iterable[WeeklyHours], begin: datetime, end: datetime) -> bool:
        """Whether one span of the weekday on which the time begins holds all of it."""
        day = local_day(begin, self.zone)
        return any(
            self.instant(day, one.begin) <= begin and end <= self.instant(day, one.end)
            for one in hours
            if one.weekday == day.isoweekday()
        )
