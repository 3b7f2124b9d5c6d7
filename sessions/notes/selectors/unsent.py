"""Words that came in after a signature and wait for their author."""

from __future__ import annotations

from uuid import UUID

from practice.core.reasons import Reason
from sessions.notes.selectors.notes import draft_of


def unsent_warnings(session_id: UUID) -> list[Reason]:
    """A warning where words that came in after the signature were neither sent nor discarded."""
    paper = draft_of(session_id)
    if paper is None or not paper.unsent:
        return []
    text = "Words that came in after the signature wait: send or discard them."
    return [Reason(code="unsent_words", text=text, source="practice policy")]
