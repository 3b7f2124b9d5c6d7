"""What the calendar reads of facilities: the days on which they are open, their zones."""

from __future__ import annotations

from uuid import UUID

from practice.eventlog.unit import once
from practice.models import PRACTICE_ID, Facility, OpeningHours, Practice
from practice.selectors import settings_group
from sessions.domain.calendar.opening import OpenDays, Opening


def open_days() -> OpenDays:
    """The practice's own open days."""
    return settings_group("rechecks", OpenDays)[0]


def opening_of(facility_id: UUID | None) -> Opening:
    """On which days a facility is open; the practice's days where it has no hours on record."""
    usual, days = open_days(), set[int]()
    if facility_id is not None:
        found = OpeningHours.objects.filter(facility_id=facility_id)
        days = set(found.values_list("weekday", flat=True))
    return Opening(frozenset(days or usual.open_weekdays), frozenset(usual.closed_days))


def zone_of(facility_id: UUID | None) -> str:
    """The zone of a facility, or the practice's own."""
    if facility_id is not None:
        zone = Facility.objects.filter(pk=facility_id).values_list("zone", flat=True).first()
        if zone is not None:
            return str(zone)
    return once("zone", lambda: Practice.objects.values_list("zone", flat=True).get(pk=PRACTICE_ID))
