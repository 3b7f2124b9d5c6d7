"""Facilities, their policy, and rooms."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import time
from typing import Any
from uuid import UUID

from practice.core.reasons import invalid, not_found
from practice.people_and_places.models.facilities import Facility, FacilityRule, Room
from practice.policy import change_log as history
from practice.policy import hooks
from practice.work.unit_of_work import UnitOfWork


@dataclass(frozen=True)
class ChangedFacility:
    """A facility, and by which law and clock it went before; ``closed``: for good by this."""

    row: Facility
    jurisdiction_before: str
    zone_before: str
    closed: bool = False


def check_hours(items: list[dict[str, Any]], first: str, last: str, field: str) -> None:
    """Raises Rejected 400 for spans that end before they begin or that overlap. A span that ends
    at 00:00 ends with its day."""
    spans = sorted(items, key=lambda item: (item["weekday"], item[first]))
    for item in spans:
        if item[first] >= _end(item[last]):
            raise invalid(field, f"{first} must lie before {last} on weekday {item['weekday']}.")
    for one, two in itertools.pairwise(spans):
        if one["weekday"] == two["weekday"] and two[first] < _end(one[last]):
            raise invalid(field, f"Two spans overlap on weekday {one['weekday']}.")


def _end(at: time) -> time:
    return time.max if at == time() else at


def facility_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> Facility:
    """A new facility. The practice asks for the law of its jurisdiction besides."""
    check_hours(command.get("opening_hours", []), "opens", "closes", "opening_hours")
    facility = history.create_row(uow, Facility(), command, "facility")
    hooks.notify_settings_changed(uow)
    return facility


def facility_change(
    uow: UnitOfWork, *, facility_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> ChangedFacility:
    """Change a facility; its future sessions are re-evaluated."""
    facility = history.lock_row(Facility, facility_id, "facility", if_match=if_match)
    check_hours(command.get("opening_hours", []), "opens", "closes", "opening_hours")
    before = facility.jurisdiction, facility.zone
    was_open = facility.is_active
    history.update_row(uow, facility, command, "facility")
    hooks.notify_settings_changed(uow)
    return ChangedFacility(facility, *before, closed=was_open and not facility.is_active)


def facility_rule_add(
    uow: UnitOfWork, *, facility_id: UUID, command: Mapping[str, Any]
) -> FacilityRule:
    """A facility's own policy; it can only narrow, so ALLOWED says nothing and is refused."""
    if not Facility.objects.filter(pk=facility_id).exists():
        raise not_found("facility")
    row = FacilityRule(facility_id=facility_id)
    policy = history.create_row(uow, row, command, "policy for this activity and technique")
    hooks.notify_settings_changed(uow)
    return policy


def facility_rule_remove(uow: UnitOfWork, *, facility_id: UUID, rule_id: UUID) -> None:
    """Drop a facility's policy; the law and the practice's own rules stay."""
    scope = {"facility_id": facility_id}
    history.delete_row(uow, history.lock_row(FacilityRule, rule_id, "policy", scope=scope))
    hooks.notify_settings_changed(uow)


def room_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> Room:
    """A new room of a facility."""
    facility = Facility.objects.filter(pk=command["facility_id"]).first()
    if facility is None:
        raise invalid("facility_id", "There is no such facility.")
    return history.create_row(uow, Room(), command, "room in this facility")


def room_change(
    uow: UnitOfWork, *, room_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Room:
    """Change a room. It stays in its facility."""
    room = history.lock_row(Room, room_id, "room", if_match=if_match)
    if "facility_id" in command and command["facility_id"] != room.facility_id:
        raise invalid("facility_id", "A room stays in its facility; add a new one there.")
    return history.update_row(uow, room, command, "room in this facility")
