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
from practice.core.spans import Span, merged, without
from sessions.calendar.domain.exceptions import (
    HolidayOf,
    HoursOfDay,
    TimeAway,
    absent_then,
    closed_for,
    closed_on,
    closed_on_holiday,
    holiday_named,
    no_holiday,
)

LONGEST_CLOSURE = 366
MINUTES_OF_A_DAY = 24 * 60

HoursOfDays: TypeAlias = Mapping[int, list[Span]]
"""By ISO weekday: spans in minutes of the clock since midnight, in order; none is empty."""
NO_HOURS: Final[HoursOfDays] = {}
HoursOfDates: TypeAlias = Mapping[date, list[Span]]
"""The same by date, beyond those of the weekday."""
NO_EXTRA: Final[HoursOfDates] = {}


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
    (ISO, Monday 1) say on which days it is open. ``closed_days`` close it whatever its hours, and
    with ``closes_on_holidays`` the days that ``holiday_of`` names, but not ``open_holidays``.
    ``working_hours``, ``absences``, ``extra_hours``: by practitioner, at this facility. ``zone``
    is its IANA zone.
    """

    zone: str
    usual_weekdays: frozenset[int] = frozenset()
    closed_days: frozenset[date] = frozenset()
    opening_hours: Sequence[WeeklyHours] = ()
    working_hours: Mapping[UUID, Sequence[WeeklyHours]] = field(default_factory=dict)
    closures: Sequence[TimeAway] = ()
    absences: Mapping[UUID, Sequence[TimeAway]] = field(default_factory=dict)
    extra_hours: Mapping[UUID, Sequence[HoursOfDay]] = field(default_factory=dict)
    holiday_of: HolidayOf = no_holiday
    closes_on_holidays: bool = False
    open_holidays: frozenset[date] = frozenset()

    def is_open_on(self, day: date) -> bool:
        """Whether it is open at any time of a local day."""
        return self._opens_on(day) and self._why_shut(day) is None

    def why_closed(self, day: date) -> Reason | None:
        """Why nothing takes place there on a local day; None where it is not closed."""
        if (shut := self._why_shut(day)) is not None:
            return shut
        if self.opening_hours and not self._opens_on(day):
            text = f"The facility is closed on {day:%A}s."
            return Reason(code="closed_weekday", text=text, source="the facility's opening hours")
        return None

    def why_shut(self, begin: datetime, end: datetime) -> Reason | None:
        """Why it is closed for some of a time whatever its hours: a day on which the practice is
        closed, by the day on which the time begins, or a closure."""
        if (reason := self._why_no_day(local_day(begin, self.zone))) is not None:
            return reason
        met = (one for one in self.closures if one.meets(begin, end, self.zone))
        return next((closed_for(one, self.zone) for one in met), None)

    def why_absent(self, practitioner_id: UUID, begin: datetime, end: datetime) -> Reason | None:
        """Why the practitioner is not there for some of a time; None where no absence meets it."""
        absences = self.absences.get(practitioner_id, ())
        met = (one for one in absences if one.meets(begin, end, self.zone))
        return next((absent_then(one, self.zone) for one in met), None)

    def why_absent_on(self, practitioner_id: UUID, day: date) -> Reason | None:
        """Why the practitioner does not work on a day although hours are on record for it."""
        if practitioner_id not in self._away or self.works_on(practitioner_id, day):
            return None
        hours = self._hours(practitioner_id, day)
        if not hours:
            return None
        met = (
            one
            for one in self.absences[practitioner_id]
            if one.span(self.zone)[0] < hours[-1][1] and hours[0][0] < one.span(self.zone)[1]
        )
        return next((absent_then(one, self.zone) for one in met), None)

    def holiday_worked(self, day: date) -> Reason | None:
        """The public holiday of a day on which the practice works all the same."""
        name = self.holiday_of(day)
        return holiday_named(day, name) if name and self._why_no_day(day) is None else None

    def open_day_from(self, day: date) -> date:
        """The day itself or the next open one; the day itself where none is open within a year."""
        later = (day + timedelta(days=n) for n in range(LONGEST_CLOSURE))
        return next((one for one in later if self.is_open_on(one)), day)

    def within_opening_hours(self, begin: datetime, end: datetime) -> bool:
        """Whether a time lies within its hours of that day; true where none are on record."""
        day = local_day(begin, self.zone)
        return not self.opening_hours or _covered(self._spans(self._opening, day), begin, end)

    def is_open(self, begin: datetime, end: datetime) -> bool:
        """Whether a time lies within its hours and it is not closed then."""
        return self.why_shut(begin, end) is None and self.within_opening_hours(begin, end)

    def works(self, practitioner_id: UUID, begin: datetime, end: datetime) -> bool:
        """Whether the practitioner's hours here cover a time, without absences."""
        spans = self.working_spans(practitioner_id, local_day(begin, self.zone))
        return _covered(spans, begin, end)

    def works_on(self, practitioner_id: UUID, day: date) -> bool:
        """Whether the practitioner works here at any time of a day."""
        return bool(self.working_spans(practitioner_id, day))

    def anyone_works_on(self, day: date) -> bool:
        """Whether a local day has any hours in which someone could work here."""
        weekday = day.isoweekday()
        opens = weekday in self._opening or not self.opening_hours
        works = weekday in self._working_weekdays or day in self._extra_days
        return opens and works and self._why_shut(day) is None

    def working_spans(self, practitioner_id: UUID, day: date) -> list[Span]:
        """When the practitioner works here on a local day, in minutes: the weekly hours and the
        extra ones, without absences."""
        spans = self._hours(practitioner_id, day)
        away = self._away.get(practitioner_id)
        return without(spans, away) if away else spans

    def opening_spans(self, day: date) -> list[Span]:
        """When it is open on a local day, in minutes; a day and a night where no hours are on
        record."""
        if self._why_no_day(day) is not None:
            return []
        if self.opening_hours:
            spans = self._spans(self._opening, day)
        else:
            begin, end = day_minutes(day, self.zone)
            spans = [(begin, end + MINUTES_OF_A_DAY)]
        return without(spans, self._closed) if self._closed else spans

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

    @cached_property
    def _extra(self) -> dict[UUID, HoursOfDates]:
        return {one: _of_dates(hours) for one, hours in self.extra_hours.items()}

    @cached_property
    def _extra_days(self) -> frozenset[date]:
        return frozenset(day for hours in self._extra.values() for day in hours)

    @cached_property
    def _closed(self) -> list[Span]:
        return merged(one.span(self.zone) for one in self.closures)

    @cached_property
    def _away(self) -> dict[UUID, list[Span]]:
        return {
            who: merged(one.span(self.zone) for one in absences)
            for who, absences in self.absences.items()
            if absences
        }

    def _opens_on(self, day: date) -> bool:
        weekdays = {one.weekday for one in self.opening_hours} or self.usual_weekdays
        return day.isoweekday() in weekdays

    def _why_no_day(self, day: date) -> Reason | None:
        """Why the practice does not work on a day: it says so, or it is a public holiday."""
        if day in self.closed_days:
            return closed_on(day)
        if not self.closes_on_holidays or day in self.open_holidays:
            return None
        name = self.holiday_of(day)
        return closed_on_holiday(day, name) if name else None

    def _why_shut(self, day: date) -> Reason | None:
        """The same, or closures that leave nothing of the day."""
        if (reason := self._why_no_day(day)) is not None:
            return reason
        if not self._closed:
            return None
        begin, end = day_minutes(day, self.zone)
        if without([(begin, end)], self._closed):
            return None
        met = (one for one in self.closures if one.span(self.zone)[1] > begin)
        return next(
            (closed_for(one, self.zone) for one in met if one.span(self.zone)[0] < end), None
        )

    def _hours(self, practitioner_id: UUID, day: date) -> list[Span]:
        weekly = self._working.get(practitioner_id, NO_HOURS)
        return self._spans(weekly, day, self._extra.get(practitioner_id, NO_EXTRA))

    def _spans(self, hours: HoursOfDays, day: date, extra: HoursOfDates = NO_EXTRA) -> list[Span]:
        """Some hours on a local day: those that touch are one, over midnight too."""
        of_day = _hours_on(hours, extra, day)
        if not of_day:
            return []
        spans = self._on(day, of_day)
        if of_day[-1][1] == MINUTES_OF_A_DAY:
            following = day + timedelta(days=1)
            of_night = self._on(following, _hours_on(hours, extra, following))
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


def _of_dates(hours: Iterable[HoursOfDay]) -> HoursOfDates:
    found: defaultdict[date, list[Span]] = defaultdict(list)
    for one in hours:
        found[one.day].append((_minutes(one.begin), _minutes(one.end) or MINUTES_OF_A_DAY))
    return dict(found)


def _hours_on(hours: HoursOfDays, extra: HoursOfDates, day: date) -> Sequence[Span]:
    """The minutes of the clock on a date: those of its weekday and its own."""
    weekly = hours.get(day.isoweekday(), ())
    return merged([*weekly, *extra[day]]) if day in extra else weekly


def _covered(spans: Iterable[Span], begin: datetime, end: datetime) -> bool:
    """Whether one of some spans holds all of a time."""
    first, last = minute_of(begin), minute_after(end)
    return any(opens <= first and last <= closes for opens, closes in spans)


def _minutes(at: time) -> int:
    return at.hour * 60 + at.minute
