"""What the calendar reads of facilities: the days on which they are open, their zones."""

from __future__ import annotations

from uuid import UUID

from practice.people_and_places.models.facilities import Facility, OpeningHours
from practice.policy.models import PRACTICE_ID, Practice
from practice.policy.selectors import settings_group
from practice.work.request_cache import memoize
from sessions.calendar.domain.opening import OpenDays, OpeningDays


def open_days() -> OpenDays:
    """The practice's own open days."""
    return settings_group("rechecks", OpenDays)[0]


def open_days_of(facility_id: UUID | None) -> OpeningDays:
    """On which days a facility is open; the practice's days where it has no hours on record."""
    usual, days = open_days(), set[int]()
    if facility_id is not None:
        found = OpeningHours.objects.filter(facility_id=facility_id)
        days = set(found.values_list("weekday", flat=True))
    return OpeningDays(frozenset(days or usual.open_weekdays), frozenset(usual.closed_days))


def zone_of(facility_id: UUID | None) -> str:
    """The zone of a facility, or the practice's own."""
    if facility_id is not None:
        zone = Facility.objects.filter(pk=facility_id).values_list("zone", flat=True).first()
        if zone is not None:
            return str(zone)
    return memoize(
        "zone", lambda: Practice.objects.values_list("zone", flat=True).get(pk=PRACTICE_ID)
    )
