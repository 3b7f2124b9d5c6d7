"""What the calendar asks of the features above it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from uuid import UUID

from practice.core.appspec import ExtensionPoint
from practice.core.reasons import Reason

KEPT_WITH_SESSION = ExtensionPoint[Callable[[UUID], Sequence[Reason]]]("what a session keeps")
"""``find(session_id)``: what is unfinished in a session as it stands now, and whose it is."""


def kept_with_session(session_id: UUID) -> list[Reason]:
    """Asked after a session is moved, called off, corrected or entered in error: nothing that
    somebody was writing is left behind unsaid."""
    return [reason for find in KEPT_WITH_SESSION.answers for reason in find(session_id)]
