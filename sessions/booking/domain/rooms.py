"""A session without a room at a place whose rooms are all taken then. Pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from practice.core.reasons import Reason
from sessions.booking.domain.commands import Slot


@dataclass(frozen=True, slots=True)
class RoomUse:
    """Another session or class at a facility: its room, None where none was named, and when."""

    room_id: UUID | None
    starts_at: datetime
    ends_at: datetime


def no_room_left(slot: Slot, rooms: Collection[UUID], held: Iterable[RoomUse]) -> list[Reason]:
    """A warning where at any moment of a slot without a room all ``rooms`` in use there are
    taken; whoever has no room named takes one too. A facility without rooms has none to run
    out of."""
    if slot.room_id is not None or not rooms:
        return []
    near = [one for one in held if one.starts_at < slot.ends_at and slot.starts_at < one.ends_at]
    moments = {slot.starts_at} | {one.starts_at for one in near if one.starts_at > slot.starts_at}
    if all(_taken(near, at, rooms) < len(rooms) for at in moments):
        return []
    which = "the only room is" if len(rooms) == 1 else f"all {len(rooms)} rooms are"
    text = f"No room is left there then: {which} taken. Choose another time, or see to a room."
    return [Reason(code="no_room_left", text=text, source="the facility's rooms")]


def _taken(near: Iterable[RoomUse], at: datetime, rooms: Collection[UUID]) -> int:
    """How many rooms are taken at a moment."""
    there = [one.room_id for one in near if one.starts_at <= at < one.ends_at]
    return there.count(None) + len(set(there) & set(rooms))
