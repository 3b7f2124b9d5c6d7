"""A time that somebody may have. Pure."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple
from uuid import UUID


class FreeTime(NamedTuple):
    """A time at a place with a practitioner that somebody may have; ``class_id``: as a place in
    that class, which is taken for its whole length."""

    practitioner_id: UUID
    facility_id: UUID
    room_id: UUID | None
    starts_at: datetime
    minutes: int
    class_id: UUID | None = None
