"""What features above know of a note that is being written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from uuid import UUID

from practice.core.appspec import ExtensionPoint
from sessions.notes.domain.findings import ClosedLimb

CLOSED_TO_LOAD = ExtensionPoint[Callable[[UUID, date], Sequence[ClosedLimb]]](
    "limbs closed to load"
)
"""``closed(client_id, day)``: the limbs that may carry no load on a day, and why."""
