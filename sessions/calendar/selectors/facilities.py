"""What the calendar reads of facilities: its settings, hours, closed days, zones."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import datetime, time
from functools import partial
from types import MappingProxyType
from typing import Any
from uuid import UUID

from practice.people_and_places.models.facilities import Facility, OpeningHours
from practice.people_and_places.models.practitioners import Practitioner, WorkingHours
from practice.people_and_places.public_holidays import public_holiday
from practice.people_and_places.selectors.kept import places
from practice.policy.as_known import lists_as_known, settings_as_known
from practice.policy.models import PRACTICE_ID, Practice
from practice.policy.selectors import settings_group
from practice.work.request_cache import memoize
from sessions.calendar.domain.facility_calendar import FacilityCalendar, WeeklyHours
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.selectors.exceptions import (
    NO_EXCEPTIONS,
    CalendarExceptions,
    exceptions_as_known,
    exceptions_at,
)


def calendar_settings() -> CalendarSettings:
    """The practice's settings of the calendar."""
    return settings_group("calendar", CalendarSettings)[0]


def facility_calendar(
    facility_id: UUID | None,
    zone: str,
    practitioner_ids: Collection[UUID] = (),
    *,
    known_at: datetime | None = None,
) -> FacilityCalendar:
    """When a facility is open, and when some practitioners work there; the only reader of hours.

    ``zone`` is the facility's. Without a facility: the practice's usual days. ``known_at``: as
    it was on record at an instant.
    """
    if known_at is not None and facility_id is not None:
        return _calendar_as_known(facility_id, zone, practitioner_ids, known_at)
    found = exceptions_at(facility_id) if facility_id else NO_EXCEPTIONS
    hours = _working_hours(facility_id, practitioner_ids) if facility_id else {}
    return FacilityCalendar(
        zone=zone,
        opening_hours=_opening_hours(facility_id) if facility_id else (),
        **_with_exceptions(facility_id, practitioner_ids, calendar_settings(), hours, found),
    )


def _with_exceptions(
    facility_id: UUID | None,
    practitioner_ids: Collection[UUID],
    settings: CalendarSettings,
    hours: dict[UUID, list[WeeklyHours]],
    found: CalendarExceptions,
) -> dict[str, Any]:
    """The days on which a facility is closed, its holidays, and when some people work there."""
    wanted = set(practitioner_ids)
    extra = {who: of for who, of in found.extra_hours.items() if who in wanted}
    place = places().get(facility_id) if facility_id else None
    named = {"holiday_of": partial(public_holiday, place.jurisdiction)} if place else {}
    return {
        "usual_weekdays": frozenset(settings.open_weekdays),
        "closed_days": frozenset(settings.closed_days),
        "closes_on_holidays": settings.closes_on_public_holidays,
        "open_holidays": found.open_holidays,
        # Who has nothing but extra hours works there too.
        "working_hours": {**{who: [] for who in extra}, **hours},
        "extra_hours": extra,
        "closures": found.closures,
        "absences": {who: of for who, of in found.absences.items() if who in wanted},
        **named,
    }


def _calendar_as_known(
    facility_id: UUID, zone: str, practitioner_ids: Collection[UUID], known_at: datetime
) -> FacilityCalendar:
    settings, _ = settings_as_known("calendar", CalendarSettings, known_at)
    opening = lists_as_known(Facility, "opening_hours", known_at).get(str(facility_id))
    working = lists_as_known(Practitioner, "working_hours", known_at)
    hours = _working_hours(facility_id, practitioner_ids)
    for one in practitioner_ids:
        if str(one) in working:
            there = [row for row in working[str(one)] if row["facility_id"] == str(facility_id)]
            hours[one] = [_hours(row["weekday"], row["starts"], row["ends"]) for row in there]
    found = exceptions_as_known(facility_id, known_at)
    return FacilityCalendar(
        zone=zone,
        opening_hours=_opening_hours(facility_id)
        if opening is None
        else [_hours(row["weekday"], row["opens"], row["closes"]) for row in opening],
        **_with_exceptions(facility_id, practitioner_ids, settings, hours, found),
    )


def _hours(weekday: int, begin: str, end: str) -> WeeklyHours:
    return WeeklyHours(weekday, time.fromisoformat(begin), time.fromisoformat(end))


def _opening_hours(facility_id: UUID) -> tuple[WeeklyHours, ...]:
    return memoize(
        ("opening hours", facility_id),
        lambda: tuple(
            WeeklyHours(one.weekday, one.opens, one.closes)
            for one in OpeningHours.objects.filter(facility_id=facility_id)
        ),
    )


def _working_hours(
    facility_id: UUID, practitioner_ids: Collection[UUID]
) -> dict[UUID, list[WeeklyHours]]:
    if not practitioner_ids:
        return {}
    there = memoize(("working hours", facility_id), lambda: _hours_of_all(facility_id))
    return {one: list(there[one]) for one in practitioner_ids if one in there}


def _hours_of_all(facility_id: UUID) -> Mapping[UUID, tuple[WeeklyHours, ...]]:
    found: defaultdict[UUID, list[WeeklyHours]] = defaultdict(list)
    for one in WorkingHours.objects.filter(facility_id=facility_id):
        found[one.practitioner_id].append(WeeklyHours(one.weekday, one.starts, one.ends))
    return MappingProxyType({one: tuple(hours) for one, hours in found.items()})


def zone_of(facility_id: UUID | None) -> str:
    """The zone of a facility, or the practice's own."""
    place = places().get(facility_id) if facility_id else None
    return place.zone if place else memoize("zone", _zone_of_practice)


def _zone_of_practice() -> str:
    return Practice.objects.values_list("zone", flat=True).get(pk=PRACTICE_ID)
