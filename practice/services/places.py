"""Facilities, their policy, and rooms."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from typing import Any
from uuid import UUID

from practice.domain.reasons import invalid, not_found
from practice.eventlog.runner import Work
from practice.models import Facility, FacilityPolicy, Room
from practice.services import history, hooks


def check_hours(items: list[dict[str, Any]], first: str, last: str, field: str) -> None:
    """Raises Rejected 400 for spans that end before they begin or that overlap."""
    spans = sorted(items, key=lambda item: (item["weekday"], item[first]))
    for item in spans:
        if item[first] >= item[last]:
            raise invalid(field, f"{first} must lie before {last} on weekday {item['weekday']}.")
    for one, two in itertools.pairwise(spans):
        if one["weekday"] == two["weekday"] and two[first] < one[last]:
            raise invalid(field, f"Two spans overlap on weekday {one['weekday']}.")


def facility_add(work: Work, values: Mapping[str, Any]) -> Facility:
    """A new facility. The practice asks for the law of its jurisdiction besides."""
    check_hours(values.get("opening_hours", []), "opens", "closes", "opening_hours")
    facility = history.add(work, Facility(), values, "facility")
    hooks.announce(work)
    return facility


def facility_change(
    work: Work, facility_id: UUID, values: Mapping[str, Any], if_match: int | None
) -> Facility:
    """Change a facility; its future sessions are judged again."""
    facility = history.locked(Facility, facility_id, "facility", if_match=if_match)
    check_hours(values.get("opening_hours", []), "opens", "closes", "opening_hours")
    history.change(work, facility, values, "facility")
    hooks.announce(work)
    return facility


def policy_add(work: Work, facility_id: UUID, values: Mapping[str, Any]) -> FacilityPolicy:
    """A facility's own policy; it can only narrow, so ALLOWED says nothing and is refused."""
    if not Facility.objects.filter(pk=facility_id).exists():
        raise not_found("facility")
    row = FacilityPolicy(facility_id=facility_id)
    policy = history.add(work, row, values, "policy for this activity and technique")
    hooks.announce(work)
    return policy


def policy_remove(work: Work, facility_id: UUID, policy_id: UUID) -> None:
    """Drop a facility's policy; the law and the practice's own rules stay."""
    scope = {"facility_id": facility_id}
    history.remove(work, history.locked(FacilityPolicy, policy_id, "policy", scope=scope))
    hooks.announce(work)


def room_add(work: Work, values: Mapping[str, Any]) -> Room:
    """A new room of a facility."""
    facility = Facility.objects.filter(pk=values["facility_id"]).first()
    if facility is None:
        raise invalid("facility_id", "There is no such facility.")
    return history.add(work, Room(), values, "room in this facility")


def room_change(work: Work, room_id: UUID, values: Mapping[str, Any], if_match: int | None) -> Room:
    """Change a room. It stays in its facility."""
    room = history.locked(Room, room_id, "room", if_match=if_match)
    if "facility_id" in values and values["facility_id"] != room.facility_id:
        raise invalid("facility_id", "A room stays in its facility; add a new one there.")
    return history.change(work, room, values, "room in this facility")
