"""What the ground floor is told of sessions: those still to come, what is open, whose they are."""

from __future__ import annotations

from uuid import UUID

from practice.accesslog.owners import owner_of_id
from practice.clock import clock
from practice.policy.hooks import upcoming_session_counter
from sessions.calendar.models import Session


@upcoming_session_counter
def upcoming_sessions_of_practitioner(practitioner_id: UUID | None) -> int:
    """Of one practitioner, or in all."""
    rows = Session.objects.filter(status="booked", ends_at__gt=clock.now())
    return (
        rows if practitioner_id is None else rows.filter(practitioner_id=practitioner_id)
    ).count()


@owner_of_id("session_id")
def client_of_session(session_id: UUID) -> UUID | None:
    """Whose session it is, for the log of refusals."""
    return Session.objects.filter(pk=session_id).values_list("client_id", flat=True).first()
