"""A booked session before and after a change of what its client said of themself. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from practice.core.reasons import Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class BookedSession:
    """A session to come before and after such a change: how much of it is by hand (all,
    part, nothing), how much could be if it were planned anew, and why not all."""

    session_id: UUID
    starts_at: datetime
    zone: str
    was: str
    now: str
    may_be: str
    text: str
    reasons: Sequence[Reason] = ()
