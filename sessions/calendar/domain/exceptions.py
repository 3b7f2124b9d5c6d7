"""What departs from the weekly hours: time in which nobody works, and hours beyond them. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import TypeAlias

from practice.core.localtime import day_minutes, minute_after, minute_of, zone_named
from practice.core.reasons import Reason
from practice.core.spans import Span

HolidayOf: TypeAlias = Callable[[date], str | None]
"""The name of the public holiday of a day; None where it is none."""


def no_holiday(_day: date) -> str | None:
    """Where no jurisdiction is known there are no public holidays."""
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeAway:
    """A facility is closed or a practitioner absent: on local days, both included, or, with
    ``starts_at``, from one instant to another. ``why`` is told where it is not empty."""

    first_day: date
    last_day: date
    starts_at: datetime | None = None
    ends_at: datetime | None = None
    why: str = ""

    def span(self, zone: str) -> Span:
        """In minutes; whole days are those of the clock that is asked about."""
        if self.starts_at is not None and self.ends_at is not None:
            return minute_of(self.starts_at), minute_after(self.ends_at)
        return day_minutes(self.first_day, zone)[0], day_minutes(self.last_day, zone)[1]

    def meets(self, begin: datetime, end: datetime, zone: str) -> bool:
        """Whether any moment between two instants lies in it."""
        first, last = self.span(zone)
        return first < minute_after(end) and minute_of(begin) < last

    def when(self, zone: str) -> str:
        """In words, on the clock of a facility."""
        if self.starts_at is not None and self.ends_at is not None:
            here = zone_named(zone)
            begin, end = self.starts_at.astimezone(here), self.ends_at.astimezone(here)
            until = f"{end:%H:%M}" if begin.date() == end.date() else f"{end:%Y-%m-%d %H:%M}"
            return f"from {begin:%Y-%m-%d %H:%M} to {until}"
        if self.first_day == self.last_day:
            return f"on {self.first_day}"
        return f"from {self.first_day} to {self.last_day}"


@dataclass(frozen=True, slots=True)
class HoursOfDay:
    """A span of one day's clock beyond the weekly hours; an end of 00:00 is the end of that day."""

    day: date
    begin: time
    end: time


def closed_on(day: date) -> Reason:
    """The practice closes every facility on a day."""
    text = f"The practice is closed on {day.isoformat()}."
    return Reason(code="closed_day", text=text, source="practice policy")


def closed_on_holiday(day: date, name: str) -> Reason:
    """The practice closes on public holidays, and the day is one."""
    text = f"The practice is closed on {day.isoformat()}: {name}."
    return Reason(code="public_holiday", text=text, source="practice policy")


def holiday_named(day: date, name: str) -> Reason:
    """The day is a public holiday on which the practice works."""
    text = f"{day.isoformat()} is a public holiday: {name}."
    return Reason(code="on_public_holiday", text=text, source="the jurisdiction's public holidays")


def closed_for(closure: TimeAway, zone: str) -> Reason:
    """The facility is closed for a time."""
    text = f"The facility is closed {closure.when(zone)}: {closure.why}"
    text = text if text.endswith((".", "!", "?")) else f"{text}."
    return Reason(code="closed_for_a_time", text=text, source="the facility's closures")


def absent_then(absence: TimeAway, zone: str) -> Reason:
    """The practitioner is absent. Of what kind is for those who plan them, not for a booking."""
    text = f"The practitioner is absent {absence.when(zone)}."
    return Reason(code="practitioner_absent", text=text, source="the practitioner's absences")
