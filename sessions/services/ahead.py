"""What the ground floor is told of sessions: those still to come, what is open, whose they are."""

from __future__ import annotations

from uuid import UUID

from practice.clock import clock
from practice.domain.reasons import Reason
from practice.eventlog.owners import tells_client
from practice.services.hooks import counts_sessions_ahead, on_before_erasure
from sessions.models import Note, Session


@counts_sessions_ahead
def booked_ahead(practitioner_id: UUID | None) -> int:
    """Of one practitioner, or in all."""
    rows = Session.objects.filter(status="booked", ends_at__gt=clock.now())
    return (
        rows if practitioner_id is None else rows.filter(practitioner_id=practitioner_id)
    ).count()


@on_before_erasure
def open_sessions(client_id: UUID) -> list[Reason]:
    """Sessions still to come, and sessions that took place without a signed note."""
    mine = Session.objects.filter(client_id=client_id)
    signed = Note.objects.filter(client_id=client_id).values("session_id")
    unsigned = mine.filter(status="arrived").exclude(pk__in=signed).count()
    ahead = mine.filter(status="booked", ends_at__gt=clock.now()).count()
    found = {
        "erasure.sessions_ahead": (ahead, f"Sessions are booked ahead ({ahead}): cancel them."),
        "erasure.notes_unsigned": (unsigned, f"Sessions have no signed note yet ({unsigned})."),
    }
    return [
        Reason(code=code, text=text, source="practice policy")
        for code, (count, text) in found.items()
        if count
    ]


@tells_client("session_id")
def client_of_session(session_id: UUID) -> UUID | None:
    """Whose session it is, for the log of refusals."""
    return Session.objects.filter(pk=session_id).values_list("client_id", flat=True).first()
