"""Places in a class: who may stand beside whom, and whether one is to be had. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from uuid import UUID

from practice.core.reasons import Reason, Rejected
from practice.core.terms import Mode
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES, SessionStatus
from sessions.calendar.domain.terms import PermissionsSnapshot

PLACE_TAKING_STATUSES: Final = (*TIME_HOLDING_STATUSES, SessionStatus.COMPLETED)
"""Sessions that take a place: booked, under way or done."""

NO_GROUP: Final = frozenset({"blood.neutrophils_clearance"})
"""Reasons by which a client stays away from groups (standards of the permissions' settings)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassPlaces:
    """The places of a class as they stand; ``taken`` by others than the session that asks."""

    capacity: int
    taken: int
    is_cancelled: bool = False

    @property
    def free(self) -> int:
        """How many are left."""
        return max(0, self.capacity - self.taken)


def together(one: UUID | None, other: UUID | None) -> bool:
    """Whether two sessions are places of one class, which share its practitioner and room."""
    return one is not None and one == other


def check_place(
    places: ClassPlaces, requested_mode: Mode | None, permissions: PermissionsSnapshot
) -> None:
    """Raises Rejected 409 where the class is full or called off, where hands-on is asked for, or
    where the client is to stay away from groups."""
    check_still_there(places)
    _check_self_directed(requested_mode)
    if why := tuple(one for one in permissions.reasons if one.code in NO_GROUP):
        raise Rejected(
            "not_in_a_group",
            "The client is to be in no group as things stand: book a session of its own.",
            reasons=why,
        )


def check_late_place(places: ClassPlaces, requested_mode: Mode | None) -> None:
    """Raises Rejected 409 for a place in a class that was called off, or for hands-on. That more
    came than it has places for, or somebody who was to be in no group, happened all the same."""
    _check_called_off(places)
    _check_self_directed(requested_mode)


def over_full(places: ClassPlaces | None) -> list[Reason]:
    """A warning where another comes into a class that is full."""
    if places is None or places.free:
        return []
    text = f"More came than the class has places for: it has {places.capacity}."
    return [Reason(code="class_over_full", text=text, source="practice policy")]


def _check_self_directed(requested_mode: Mode | None) -> None:
    if requested_mode is Mode.HANDS_ON:
        raise Rejected(
            "class_is_self_directed",
            "Nothing is by hand in a class. Book the place as self-directed, or a session of"
            " its own.",
            extra={"bookable_as": [Mode.SELF_DIRECTED.value]},
        )


def _check_called_off(places: ClassPlaces) -> None:
    if places.is_cancelled:
        raise Rejected("class_cancelled", "The class is called off: nobody has a place in it.")


def check_still_there(places: ClassPlaces) -> None:
    """Raises Rejected 409 where the class is full or called off."""
    _check_called_off(places)
    if not places.free:
        raise Rejected(
            "class_full",
            f"The class is full: all {places.capacity} places are taken.",
            extra={"capacity": places.capacity, "places_taken": places.taken, "places_free": 0},
        )


def place_of_a_class() -> Rejected:
    """The refusal to move a place away from its class."""
    return Rejected(
        "place_in_a_class",
        "This session is a place in a class: move the class, or call this place off and book"
        " another time.",
    )
