"""A time that is held, as open times read thousands of them."""

from __future__ import annotations

from typing import Final, NamedTuple
from uuid import UUID

from practice.work.minutes import MinuteAfter, MinuteOf
from sessions.calendar.domain.held_time import Buffers


class TimeHeld(NamedTuple):
    """Whose time a session or a class holds, where, from which minute until which, and the
    buffers of a session. ``client_id`` None: a class, which has none."""

    practitioner_id: UUID
    room_id: UUID | None
    facility_id: UUID
    begin: int
    end: int
    before: int = 0
    after: int = 0
    client_id: UUID | None = None

    @property
    def buffers(self) -> Buffers:
        """What practitioner and room are held before and after."""
        return Buffers(self.before, self.after)


TIME_COLUMNS: Final = (
    "practitioner_id",
    "room_id",
    "facility_id",
    MinuteOf("starts_at"),
    MinuteAfter("ends_at"),
)
"""Of a session or a class, as ``TimeHeld`` begins."""
