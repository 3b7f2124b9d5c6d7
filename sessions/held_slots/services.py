"""Holding a practitioner's time for evaluations, and giving it back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from practice.core.reasons import invalid
from practice.people_and_places.selectors.facilities import facility_get
from practice.people_and_places.selectors.kept import colleagues_at
from practice.policy import change_log as history
from practice.work.unit_of_work import UnitOfWork
from sessions.held_slots.domain.held_slot import check_held
from sessions.held_slots.models import HeldSlot
from sessions.held_slots.selectors import held_slot_get

_WHAT = "held slot"


def held_slot_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> HeldSlot:
    """Hold a time. Raises Rejected: 404 for a facility that the caller does not see, 400 for a
    practitioner who does not work there or a time that cannot be."""
    facility_get(uow.actor, command["facility_id"])
    if command["practitioner_id"] not in colleagues_at(command["facility_id"]):
        raise invalid("practitioner_id", "This practitioner does not work at that facility.")
    check_held(command.get("weekday"), command.get("day"), command["starts"], command["ends"])
    return history.create_row(uow, HeldSlot(), command, _WHAT)


def held_slot_change(
    uow: UnitOfWork, *, held_slot_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> HeldSlot:
    """Hold it at another time, or release it sooner or later; whose and where it is stays."""
    held_slot_get(uow.actor, held_slot_id)
    row = history.lock_row(HeldSlot, held_slot_id, _WHAT, if_match=if_match)
    for name in ("practitioner_id", "facility_id"):
        if command.get(name, getattr(row, name)) != getattr(row, name):
            raise invalid(name, "A held slot stays whose and where it is; add another one.")
    names = ("weekday", "day", "starts", "ends")
    check_held(*(command.get(name, getattr(row, name)) for name in names))
    return history.update_row(uow, row, command, _WHAT)


def held_slot_give_back(uow: UnitOfWork, *, held_slot_id: UUID) -> None:
    """Hold it no more; the history of changes keeps the row."""
    held_slot_get(uow.actor, held_slot_id)
    history.delete_row(uow, history.lock_row(HeldSlot, held_slot_id, _WHAT))
