"""Words that came in after a signature and wait for their author."""

from __future__ import annotations

from uuid import UUID

from practice.core.reasons import Reason
from practice.people_and_places.selectors.practitioners import practitioner_name
from sessions.notes.selectors.notes import drafts_of


def unsent_warnings(session_id: UUID, reader: UUID | None) -> list[Reason]:
    """A warning for each author whose words were neither sent nor discarded; ``reader``: the
    practitioner who is told."""
    return [
        Reason(
            code="unsent_words", text=_text(one.practitioner_id, reader), source="practice policy"
        )
        for one in drafts_of(session_id)
        if one.unsent
    ]


def _text(author: UUID, reader: UUID | None) -> str:
    if author == reader:
        return "Words that came in after the signature wait: send or discard them."
    name = practitioner_name(author)
    return f"Words by {name}, who had the session before, wait: {name} sends or discards them."
