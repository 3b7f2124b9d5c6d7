"""Sessions still to come."""

from __future__ import annotations

from uuid import UUID

from practice.clock import clock
from sessions.calendar.models import Session


def upcoming_sessions_of_practitioner(practitioner_id: UUID | None) -> int:
    """Of one practitioner, or in all."""
    rows = Session.objects.filter(status="booked", ends_at__gt=clock.now())
    return (
        rows if practitioner_id is None else rows.filter(practitioner_id=practitioner_id)
    ).count()
