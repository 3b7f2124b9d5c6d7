"""Record an absence or a closure and say at once whom it leaves without a practitioner or place."""

from __future__ import annotations

from dataclasses import dataclass

from practice.people_and_places.models.exceptions import Absence, Closure
from practice.people_and_places.services import exceptions
from practice.people_and_places.services.exceptions import AbsenceRequest, ClosureRequest
from practice.work.unit_of_work import UnitOfWork
from sessions.absences.selectors.classes_met import MetClasses, classes_met
from sessions.absences.selectors.met import met_and_seen, met_count
from sessions.absences.selectors.stand_ins import MetSession, with_stand_ins
from sessions.calendar.selectors.facilities import calendar_settings


@dataclass(frozen=True)
class Recorded:
    """What was recorded, and the sessions that it meets: ``count`` that the caller sees and
    ``elsewhere`` that they do not; the first of them in order of time with who may take over; and
    the classes."""

    row: Absence | Closure
    count: int
    elsewhere: int
    first: tuple[MetSession, ...]
    classes: MetClasses


def absence_record(uow: UnitOfWork, *, command: AbsenceRequest) -> Recorded:
    """Record that a practitioner is absent."""
    return _recorded(uow, exceptions.absence_add(uow, command=command))


def closure_record(uow: UnitOfWork, *, command: ClosureRequest) -> Recorded:
    """Close a facility for a time."""
    return _recorded(uow, exceptions.closure_add(uow, command=command))


def _recorded(uow: UnitOfWork, row: Absence | Closure) -> Recorded:
    count, elsewhere = met_count(uow.actor, row, uow.now)
    shown = calendar_settings().absence_sessions_shown
    rows = list(met_and_seen(uow.actor, row, uow.now).order_by("starts_at", "id")[:shown])
    uow.tell_of(one.client_id for one in rows)
    first = with_stand_ins(uow.actor, row, rows, uow.now)
    classes = classes_met(uow.actor, row, uow.now)
    return Recorded(row, count, elsewhere, tuple(first), classes)
