"""Which signed notes rest on a supervision."""

from __future__ import annotations

from uuid import UUID

from practice.core.reasons import Reason
from sessions.notes.models import Note


def notes_resting_on_supervision(supervision_id: UUID) -> list[Reason]:
    """The signed notes that name a supervision, without a name of a client."""
    found = Note.objects.filter(supervision_id=supervision_id).order_by("started_at", "id")
    return [
        Reason(
            code="note_rests_on_supervision",
            text=f"The signed note of session {note.session_id} on {note.local_date} rests on it.",
            source="practice policy",
        )
        for note in found
    ]
