"""A class that is entered after it took place: what cannot be, and what is only said. Pure."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Protocol
from uuid import UUID

from practice.core.reasons import Reason, Rejected, invalid


class HeldPlace(Protocol):
    """A session of the client in the class."""

    pk: UUID
    status: str


def check_class_ahead(is_past: bool) -> None:
    """Raises Rejected 400 for a time that is past, saying how a class is entered late."""
    if is_past:
        raise invalid(
            "starts_at",
            "That time is past. Enter a class that took place with `places`: who came, and who did"
            " not.",
        )


def check_places_fit(clients: Sequence[UUID], capacity: int) -> None:
    """Raises Rejected 400 for a client who is named twice, or more places than the class has."""
    if len(set(clients)) < len(clients):
        raise invalid("places", "A client is named twice: each has one place.")
    if len(clients) > capacity:
        raise invalid("capacity", f"{len(clients)} places are named: it had at least as many.")


def check_not_on_record(class_id: UUID | None) -> None:
    """Raises Rejected 409 where the practitioner's class of that time is on record."""
    if class_id is not None:
        raise Rejected(
            "class_on_record",
            "A class of this practitioner at that time is on record: enter who came in its places,"
            f" POST /classes/{class_id}/places with `attendance`.",
            extra={"class_id": str(class_id)},
        )


def check_no_place_yet(held: HeldPlace | None) -> None:
    """Raises Rejected 409 where the client has a place in the class already."""
    if held is not None:
        raise Rejected(
            "has_a_place",
            "The client has a place in this class already: record their arrival or no-show on that"
            " session, or correct it.",
            extra={"session_id": str(held.pk), "session_status": held.status},
        )


def overlap_warnings(sessions: Collection[UUID]) -> list[Reason]:
    """What else is on record for the practitioner or the room at that time; it is kept."""
    if not sessions:
        return []
    text = (
        f"{len(sessions)} other sessions or classes with this practitioner or in this room are on"
        " record at that time: see which is right."
    )
    return [Reason(code="overlaps", text=text, source="practice policy")]
