"""Booked sessions still to come, for what the ground floor tells of a change."""

from __future__ import annotations

from uuid import UUID

from practice.clock import clock
from practice.services.hooks import counts_sessions_ahead
from sessions.models import Session


@counts_sessions_ahead
def booked_ahead(practitioner_id: UUID | None) -> int:
    """Of one practitioner, or in all."""
    rows = Session.objects.filter(status="booked", ends_at__gt=clock.now())
    return (
        rows if practitioner_id is None else rows.filter(practitioner_id=practitioner_id)
    ).count()
