"""Sessions still to come."""

from __future__ import annotations

from uuid import UUID

from django.db.models import QuerySet

from practice.clock import clock
from sessions.calendar.models import Session


def upcoming_sessions_of_practitioner(practitioner_id: UUID | None) -> int:
    """Of one practitioner, or in all."""
    rows = _upcoming()
    return _of(rows, practitioner_id).count()


def upcoming_sessions_at(facility_id: UUID, practitioner_id: UUID | None) -> int:
    """At one facility, of one practitioner or of all."""
    return _of(_upcoming().filter(facility_id=facility_id), practitioner_id).count()


def upcoming_sessions_in(room_id: UUID) -> int:
    """In one room."""
    return _upcoming().filter(room_id=room_id).count()


def _of(rows: QuerySet[Session], practitioner_id: UUID | None) -> QuerySet[Session]:
    return rows if practitioner_id is None else rows.filter(practitioner_id=practitioner_id)


def _upcoming() -> QuerySet[Session]:
    return Session.objects.filter(status="booked", ends_at__gt=clock.now())
