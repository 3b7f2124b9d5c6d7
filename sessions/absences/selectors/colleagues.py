"""Who else is there and free at the time of a session or a class."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from practice.people_and_places.selectors.kept import Colleague, colleagues_at
from sessions.calendar.models import ExerciseClass, Session
from sessions.calendar.selectors.classes import classes_holding
from sessions.calendar.selectors.facilities import facility_calendar
from sessions.calendar.selectors.sessions import holding_time


def free_colleagues(row: Session | ExerciseClass) -> list[Colleague]:
    """Who else is at the place then, at work, not absent, and in no other session or class."""
    there: Mapping[UUID, Colleague] = colleagues_at(row.facility_id)
    calendar = facility_calendar(row.facility_id, row.zone, there)
    at_work = {
        who
        for who in there
        if who != row.practitioner_id and calendar.works(who, row.starts_at, row.ends_at)
    }
    busy: set[UUID] = set()
    for held in (holding_time, classes_holding) if at_work else ():
        rows = held(row.starts_at, row.ends_at).filter(practitioner_id__in=at_work)
        busy.update(rows.values_list("practitioner_id", flat=True))
    return sorted((there[who] for who in at_work - busy), key=lambda one: (one.name, one.pk))
