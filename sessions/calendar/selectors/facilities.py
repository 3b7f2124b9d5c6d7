"""What the calendar reads of facilities: its settings, hours, closed days, zones."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from uuid import UUID

from practice.people_and_places.models.facilities import Facility, OpeningHours
from practice.people_and_places.models.practitioners import WorkingHours
from practice.policy.models import PRACTICE_ID, Practice
from practice.policy.selectors import settings_group
from practice.work.request_cache import memoize
from sessions.calendar.domain.facility_calendar import FacilityCalendar, WeeklyHours
from sessions.calendar.domain.settings import CalendarSettings


def calendar_settings() -> CalendarSettings:
    """The practice's settings of the calendar."""
    return settings_group("calendar", CalendarSettings)[0]


def facility_calendar(
    facility_id: UUID | None, zone: str, practitioner_ids: Collection[UUID] = ()
) -> FacilityCalendar:
    """When a facility is open, and when some practitioners work there; the only reader of hours.

    ``zone`` is the facility's. Without a facility: the practice's usual days.
    """
    settings = calendar_settings()
    return FacilityCalendar(
        zone=zone,
        usual_weekdays=frozenset(settings.open_weekdays),
        closed_days=frozenset(settings.closed_days),
        opening_hours=_opening_hours(facility_id) if facility_id else (),
        working_hours=_working_hours(facility_id, practitioner_ids) if facility_id else {},
    )


def _opening_hours(facility_id: UUID) -> list[WeeklyHours]:
    return memoize(
        ("opening hours", facility_id),
        lambda: [
            WeeklyHours(one.weekday, one.opens, one.closes)
            for one in OpeningHours.objects.filter(facility_id=facility_id)
        ],
    )


def _working_hours(
    facility_id: UUID, practitioner_ids: Collection[UUID]
) -> dict[UUID, list[WeeklyHours]]:
    if not practitioner_ids:
        return {}
    found: defaultdict[UUID, list[WeeklyHours]] = defaultdict(list)
    there = WorkingHours.objects.filter(facility_id=facility_id)
    for one in there.filter(practitioner_id__in=practitioner_ids):
        found[one.practitioner_id].append(WeeklyHours(one.weekday, one.starts, one.ends))
    return dict(found)


def zone_of(facility_id: UUID | None) -> str:
    """The zone of a facility, or the practice's own."""
    if facility_id is not None:
        zone = Facility.objects.filter(pk=facility_id).values_list("zone", flat=True).first()
        if zone is not None:
            return str(zone)
    return memoize(
        "zone", lambda: Practice.objects.values_list("zone", flat=True).get(pk=PRACTICE_ID)
    )
