"""Change what a class is called, and for how many it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from practice.people_and_places.locks import PlaceLocks
from practice.policy import change_log as history
from practice.policy.selectors import settings_group
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.freed import WaitingFits, free_place_of, who_waits_for
from sessions.calendar.models import ExerciseClass
from sessions.calendar.selectors.classes import class_get, sessions_of_class
from sessions.groups.domain.rules import check_capacity, check_details, class_changed
from sessions.groups.domain.settings import GroupSettings
from sessions.groups.services.classes import ClassResult


def class_change(
    uow: UnitOfWork, *, class_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> ClassResult:
    """Another ``title`` or ``capacity``; nobody loses a place by it.

    Under the lock on the practitioner, as places are given, so that none is taken meanwhile.
    Raises Rejected: 400 for a number of places that cannot be, 409 where more are taken.
    """
    seen = class_get(uow.actor, class_id)
    uow.lock(places=PlaceLocks([seen.practitioner_id]))
    row = history.lock_row(ExerciseClass, class_id, "class", if_match=if_match)
    if row.practitioner_id != seen.practitioner_id:
        raise class_changed()
    before, capacity = row.capacity, command.get("capacity", row.capacity)
    taken = sessions_of_class(class_id).count()
    if capacity != before:
        check_capacity(capacity, settings_group("groups", GroupSettings)[0])
    check_details(capacity, taken, row.ends_at, uow.now, is_cancelled=row.is_cancelled)
    history.update_row(uow, row, command, "class")
    freed = who_waits_for(uow, free_place_of(row)) if capacity > before else WaitingFits()
    return ClassResult(class_id, freed=freed)
