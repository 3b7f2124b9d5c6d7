"""Sessions to come outside the facility's weekly hours: somebody is to open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import facility_calendar
from sessions.calendar.selectors.gaps import GapSource

OUTSIDE = "outside_opening_hours"


def _found(sessions: Sequence[Session]) -> Mapping[UUID, Sequence[str]]:
    """By the hours as they are now; what is shut then is told as a closure."""
    places = {row.facility_id: row.zone for row in sessions}
    calendars = {one: facility_calendar(one, zone) for one, zone in places.items()}
    found = {}
    for row in sessions:
        calendar = calendars[row.facility_id]
        if calendar.why_shut(row.starts_at, row.ends_at) is None and not (
            calendar.within_opening_hours(row.starts_at, row.ends_at)
        ):
            found[row.pk] = [OUTSIDE]
    return found


HOURS_GAPS = GapSource(
    {OUTSIDE: "It is outside the facility's opening hours: see that it opens, or move it."},
    _found,
)
