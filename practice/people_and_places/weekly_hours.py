"""Weekly working hours at several facilities: nobody works in two places at once.

Hours are local to their facility, so those of two facilities are compared as instants: 08:00 in
two zones is not the same time, and 12:00 in one may be 09:00 in the other. Zones that change
their clocks on other days are compared through a whole year.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta
from typing import Final, NamedTuple

from practice.core.localtime import derived_instant

WEEKS: Final = 53
"""A year of weeks: each change of the clocks lies in it."""


class PlacedHours(NamedTuple):
    """One span of weekly hours at a facility: its name, IANA zone, ISO weekday, local times;
    ``ends`` at 00:00 is the end of the day."""

    facility: str
    zone: str
    weekday: int
    starts: time
    ends: time

    def __str__(self) -> str:
        return f"{self.facility} {self.starts:%H:%M} to {self.ends:%H:%M}"


class TwoPlaces(NamedTuple):
    """Two spans at two facilities that share time, and the first local day of it."""

    one: PlacedHours
    other: PlacedHours
    day: date


def two_places_at_once(hours: Sequence[PlacedHours], today: date) -> TwoPlaces | None:
    """The first time within a year from ``today`` at which the hours are in two places."""
    reached: tuple[datetime, datetime, PlacedHours, date] | None = None
    for begin, end, span, day in sorted(_occurrences(hours, today)):
        if reached is not None and begin < reached[1] and span.facility != reached[2].facility:
            return TwoPlaces(reached[2], span, day)
        if reached is None or end > reached[1]:
            reached = begin, end, span, day
    return None


def _occurrences(
    hours: Sequence[PlacedHours], today: date
) -> Iterator[tuple[datetime, datetime, PlacedHours, date]]:
    monday = today - timedelta(days=today.weekday())
    for week in range(WEEKS):
        for span in hours:
            day = monday + timedelta(weeks=week, days=span.weekday - 1)
            last = day + timedelta(days=span.ends == time())
            begin = derived_instant(datetime.combine(day, span.starts), span.zone)
            yield begin, derived_instant(datetime.combine(last, span.ends), span.zone), span, day
