"""Which other sessions take a practitioner's or a client's time near a session."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from sessions.calendar.domain.class_places import together
from sessions.calendar.domain.overlaps import TakenTime
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES, SessionStatus
from sessions.calendar.models import Session
from sessions.calendar.selectors.classes import LONGEST


def sessions_near(
    client_id: UUID, practitioner_id: UUID, session_id: UUID, starts_at: datetime, ends_at: datetime
) -> list[Session]:
    """The other sessions of a practitioner or a client around a time, but cancelled ones and the
    other places of its class."""
    rows = Session.objects.filter(
        Q(practitioner_id=practitioner_id) | Q(client_id=client_id),
        status__in=(*TIME_HOLDING_STATUSES, SessionStatus.COMPLETED),
        starts_at__lt=ends_at + LONGEST,
        ends_at__gt=starts_at - LONGEST,
    )
    found = list(rows)
    own = next((row.class_id for row in found if row.pk == session_id), None)
    return [row for row in found if row.pk != session_id and not together(own, row.class_id)]


def taken_times(
    rows: list[Session],
    client_id: UUID,
    took_place: Mapping[UUID, tuple[datetime, datetime]] | None = None,
) -> list[TakenTime]:
    """When sessions take time: as they took place where that is known, else as booked."""
    known = took_place or {}
    return [
        TakenTime(*known.get(row.pk, (row.starts_at, row.ends_at)), row.client_id == client_id)
        for row in rows
    ]
