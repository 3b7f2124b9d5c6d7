"""Closures, absences, extra hours and holidays worked, as the one calendar asks for them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from types import MappingProxyType
from typing import Any, Final, TypeVar
from uuid import UUID

from practice.clock import clock
from practice.people_and_places.models.exceptions import (
    Absence,
    Closure,
    ExtraHours,
    HolidayOpening,
    TimeOff,
)
from practice.policy.as_known import rows_as_known
from practice.work.request_cache import memoize
from sessions.calendar.domain.exceptions import HoursOfDay, TimeAway

DAYS_KEPT: Final = 400
"""What ended earlier is not read: nothing is booked or entered late on such a day."""

T = TypeVar("T")
ByPractitioner = Mapping[UUID, Sequence[T]]


@dataclass(frozen=True)
class CalendarExceptions:
    """What departs from the weekly hours of a facility and of those who work there."""

    closures: Sequence[TimeAway] = ()
    absences: ByPractitioner[TimeAway] = field(default_factory=dict)
    extra_hours: ByPractitioner[HoursOfDay] = field(default_factory=dict)
    open_holidays: frozenset[date] = frozenset()


NO_EXCEPTIONS: Final = CalendarExceptions()


def exceptions_at(facility_id: UUID) -> CalendarExceptions:
    """Those in force at a facility now."""
    since = _since(clock.now())
    return memoize(("calendar exceptions", facility_id, since), lambda: _read(facility_id, since))


def exceptions_as_known(facility_id: UUID, known_at: datetime) -> CalendarExceptions:
    """The same as they were on record at an instant."""
    there = {"facility_id": facility_id}
    return CalendarExceptions(
        closures=[
            away(one, one.reason)
            for one in rows_as_known(Closure, known_at, **there)
            if one.lifted_at is None
        ],
        absences=_by_practitioner(
            (one for one in rows_as_known(Absence, known_at) if one.lifted_at is None), away
        ),
        extra_hours=_by_practitioner(rows_as_known(ExtraHours, known_at, **there), _hours),
        open_holidays=frozenset(
            one.day for one in rows_as_known(HolidayOpening, known_at, **there)
        ),
    )


def away(row: TimeOff, why: str = "") -> TimeAway:
    """A row as the calendar takes it."""
    return TimeAway(
        first_day=row.first_day,
        last_day=row.last_day,
        starts_at=row.starts_at,
        ends_at=row.ends_at,
        why=why,
    )


def _since(now: datetime) -> date:
    """The same all month, so that what was read is asked for by the same name."""
    return now.date().replace(day=1) - timedelta(days=DAYS_KEPT)


def _read(facility_id: UUID, since: date) -> CalendarExceptions:
    standing: dict[str, Any] = {"lifted_at": None, "last_day__gte": since}
    closures = Closure.objects.filter(facility_id=facility_id, **standing)
    absences = Absence.objects.filter(practitioner__facilities=facility_id, **standing)
    there: dict[str, Any] = {"facility_id": facility_id, "day__gte": since}
    return CalendarExceptions(
        closures=tuple(away(one, one.reason) for one in closures.order_by("first_day", "pk")),
        absences=_by_practitioner(absences.order_by("first_day", "pk"), away),
        extra_hours=_by_practitioner(ExtraHours.objects.filter(**there), _hours),
        open_holidays=frozenset(
            HolidayOpening.objects.filter(**there).values_list("day", flat=True)
        ),
    )


def _hours(row: ExtraHours) -> HoursOfDay:
    return HoursOfDay(row.day, row.starts, row.ends)


def _by_practitioner(rows: Iterable[Any], made: Callable[[Any], T]) -> ByPractitioner[T]:
    found: defaultdict[UUID, list[T]] = defaultdict(list)
    for row in rows:
        found[row.practitioner_id].append(made(row))
    return MappingProxyType({who: tuple(of) for who, of in found.items()})
