"""Recording how long practitioners travel between facilities."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from practice.core.reasons import invalid
from practice.people_and_places.selectors.kept import places
from practice.policy import change_log as history
from practice.work.unit_of_work import UnitOfWork
from sessions.travel.models import TravelTime

_WHAT = "travel time between these facilities"


def travel_time_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> TravelTime:
    """Minutes between two facilities. Raises Rejected 409 where they are on record."""
    one, other = sorted((command["facility_id"], command["other_facility_id"]))
    if one == other:
        raise invalid("other_facility_id", "Name two facilities.")
    for name in ("facility_id", "other_facility_id"):
        if command[name] not in places():
            raise invalid(name, "There is no such facility.")
    values = {**command, "facility_id": one, "other_facility_id": other}
    return history.create_row(uow, TravelTime(), values, _WHAT)


def travel_time_change(
    uow: UnitOfWork,
    *,
    travel_time_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> TravelTime:
    """Other minutes between the same facilities."""
    row = history.lock_row(TravelTime, travel_time_id, "travel time", if_match=if_match)
    return history.update_row(uow, row, command, _WHAT)


def travel_time_remove(uow: UnitOfWork, *, travel_time_id: UUID) -> None:
    """Nothing is known of the way between them any more; the history keeps the row."""
    history.delete_row(uow, history.lock_row(TravelTime, travel_time_id, "travel time"))
