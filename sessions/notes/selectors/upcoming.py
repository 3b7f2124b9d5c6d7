"""What the ground floor is told of sessions: those still to come, what is open, whose they are."""

from __future__ import annotations

from uuid import UUID

from practice.audit.hooks import on_before_erasure
from practice.clock import clock
from practice.core.reasons import Reason
from practice.people_and_places.hooks import on_supervision_removal
from sessions.calendar.models import Session
from sessions.notes.models import Note


@on_before_erasure
def open_session_reasons(client_id: UUID) -> list[Reason]:
    """Sessions still to come, and sessions that took place without a signed note."""
    mine = Session.objects.filter(client_id=client_id)
    signed = Note.objects.filter(client_id=client_id).values("session_id")
    unsigned = mine.filter(status="arrived").exclude(pk__in=signed).count()
    ahead = mine.filter(status="booked", ends_at__gt=clock.now()).count()
    found = {
        "erasure.upcoming_sessions": (ahead, f"Sessions are booked ahead ({ahead}): cancel them."),
        "erasure.notes_unsigned": (unsigned, f"Sessions have no signed note yet ({unsigned})."),
    }
    return [
        Reason(code=code, text=text, source="practice policy")
        for code, (count, text) in found.items()
        if count
    ]


@on_supervision_removal
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
