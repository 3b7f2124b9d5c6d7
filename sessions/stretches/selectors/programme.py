"""The stretches that a client is on, as sessions are judged and planned by them."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from clients.permissions.domain.inputs import ProgrammeStretch
from practice.core.terms import Side, Technique
from practice.work import loading
from sessions.stretches.domain.prescription_state import StretchStatus
from sessions.stretches.domain.state import STRETCHES
from sessions.stretches.models import Prescription

CURRENT_STATUSES = (StretchStatus.PRESCRIBED, StretchStatus.ACTIVE)


def programme_stretches(client_id: UUID, known_at: datetime | None) -> tuple[ProgrammeStretch, ...]:
    """Prescribed and active ones: as of now, or as known at an instant."""
    if known_at is None:
        rows = Prescription.objects.filter(client_id=client_id, status__in=CURRENT_STATUSES)
        return tuple(
            ProgrammeStretch(
                stretch=row.stretch,
                techniques=tuple(Technique(one) for one in row.techniques),
                side=Side(row.side),
            )
            for row in rows.order_by("prescribed_at", "id")
        )
    known = loading.load_states(client_id, (STRETCHES,), known_at=known_at)[STRETCHES]
    return tuple(
        ProgrammeStretch(
            stretch=one.prescribed.stretch,
            techniques=one.prescribed.techniques,
            side=one.prescribed.side,
        )
        for one in known.prescriptions.values()
        if one.status in CURRENT_STATUSES
    )
