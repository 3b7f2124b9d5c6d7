"""Which classes an absence or a closure meets, whether or not anybody has a place in them.

By the calendar's own rule of time away (``TimeAway.meets``), on the clock of each class's
facility. A class that somebody made all the same (``overruled``) is not met.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import QuerySet

from practice.core.decisions import Actor
from practice.people_and_places.models.exceptions import Absence, Closure
from practice.people_and_places.selectors.facilities import at_visible_facilities
from practice.people_and_places.selectors.kept import Colleague
from sessions.absences.selectors.colleagues import free_colleagues
from sessions.calendar.models import ExerciseClass
from sessions.calendar.selectors.classes import with_taken
from sessions.calendar.selectors.exceptions import away
from sessions.calendar.selectors.facilities import calendar_settings


@dataclass(frozen=True)
class MetClass:
    """A class without a practitioner or a place, and who else is there and free then; whether
    each of its clients may work with them, a move of the class says."""

    row: ExerciseClass
    free: tuple[Colleague, ...] = ()


@dataclass(frozen=True)
class MetClasses:
    """How many classes are met, those at facilities that the caller does not see apart; the first
    of them in order of time."""

    count: int
    elsewhere: int
    first: tuple[MetClass, ...]


def classes_met(actor: Actor, off: Absence | Closure, now: datetime) -> MetClasses:
    """The classes to come that are still in the way; none of one that was lifted."""
    rows = _to_come(off, now)
    seen = set(at_visible_facilities(actor, rows).values_list("pk", flat=True))
    time = away(off)
    met = [row for row in rows if time.meets(row.starts_at, row.ends_at, row.zone)]
    mine = [row for row in met if row.pk in seen]
    shown = mine[: calendar_settings().absence_sessions_shown]
    first = tuple(MetClass(row, _free(off, row)) for row in shown)
    return MetClasses(len(mine), len(met) - len(mine), first)


def _free(off: Absence | Closure, row: ExerciseClass) -> tuple[Colleague, ...]:
    """At a closed place nobody can stand in."""
    return () if isinstance(off, Closure) else tuple(free_colleagues(row))


def _to_come(off: Absence | Closure, now: datetime) -> QuerySet[Any]:
    """Those near its days, whatever the zone."""
    rows = with_taken(ExerciseClass.objects.all())
    if off.lifted_at is not None:
        return rows.none()
    whose = "practitioner_id" if isinstance(off, Absence) else "facility_id"
    found = rows.filter(
        **{whose: getattr(off, whose)},
        local_date__gte=off.first_day - timedelta(days=1),
        local_date__lte=off.last_day + timedelta(days=1),
        ends_at__gt=now,
        is_cancelled=False,
        overruled="",
    )
    return found.order_by("starts_at", "id")
