"""What stands open of a client's sessions before an erasure."""

from __future__ import annotations

from uuid import UUID

from practice.clock import clock
from practice.core.reasons import Reason
from sessions.calendar.models import Session
from sessions.notes.models import Note


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
