"""Sessions still to come."""

from __future__ import annotations

from uuid import UUID

from django.db.models import QuerySet

from practice.clock import clock
from sessions.calendar.models import Session


def upcoming_sessions_of_practitioner(practitioner_id: UUID | None) -> int:
    """Of one practitioner, or in all."""
    rows = _upcoming()
    return (
        rows if practitioner_id is None else rows.filter(practitioner_id=practitioner_id)
    ).count()


def upcoming_sessions_at(facility_id: UUID) -> int:
    """At one facility."""
    return _upcoming().filter(facility_id=facility_id).count()


def _upcoming() -> QuerySet[Session]:
    return Session.objects.filter(status="booked", ends_at__gt=clock.now())
