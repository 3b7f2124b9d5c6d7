"""What a class may be, and when it may still be changed as a whole. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from practice.core.reasons import Rejected, invalid
from sessions.calendar.domain.session_state import SessionStatus
from sessions.groups.domain.settings import GroupSettings

FEWEST_PLACES: Final = 2
"""A group is two or more at once (CMS Transmittal 1753)."""


def check_capacity(capacity: int, settings: GroupSettings) -> None:
    """Raises Rejected 400 for fewer places than make a group, or more than the practice allows."""
    if not FEWEST_PLACES <= capacity <= settings.most_places:
        raise invalid(
            "capacity",
            f"A class has {FEWEST_PLACES} to {settings.most_places} places here.",
        )


def check_details(
    capacity: int, taken: int, ends_at: datetime, now: datetime, *, is_cancelled: bool
) -> None:
    """Raises Rejected 409 for a class that is called off or over, or where more places are taken
    than it is to have."""
    if is_cancelled:
        raise Rejected("class_cancelled", "The class is called off already.")
    if ends_at <= now:
        raise Rejected("class_over", "The class is over: what it was stays as it is.")
    if capacity < taken:
        raise Rejected(
            "places_taken",
            f"{taken} places are taken: call off some of them first, or leave it at {taken}.",
            extra={"places_taken": taken},
        )


def check_ahead(
    starts_at: datetime, places: Iterable[SessionStatus], now: datetime, *, is_cancelled: bool
) -> None:
    """Raises Rejected 409 for a class that is called off, has begun, or that somebody has come
    to: it is not changed as a whole any more."""
    if is_cancelled:
        raise Rejected("class_cancelled", "The class is called off already.")
    if starts_at <= now or any(one is not SessionStatus.BOOKED for one in places):
        raise Rejected(
            "class_under_way",
            "The class has begun, or somebody has come to it: set right each place by itself.",
        )


def class_changed() -> Rejected:
    """The refusal where a class is not any more what was looked at before the locks."""
    return Rejected(
        "class_changed",
        "The class, or who is in it, changed at this moment. Read it again and repeat.",
    )


def nothing_to_move() -> Rejected:
    """The refusal of a move to where the class stands already."""
    return Rejected(
        "nothing_to_move",
        "The class stands at that time and place already. Send what is to change: starts_at,"
        " practitioner_id or room_id.",
    )
