"""Minutes in which one practitioner was with two clients."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID

from sessions.notes.domain.events import NoteSigned
from sessions.notes.models import Note

LONGEST_SESSION = timedelta(hours=24)
"""No session lasts longer, so no note that began earlier can reach into this one."""


def overlapping_sessions(client_id: UUID, signed: NoteSigned) -> tuple[UUID, ...]:
    """Sessions of other clients, signed before, whose minutes overlap with those of a note.

    One minute of one practitioner counts for one client.
    """
    ends = signed.started_at + timedelta(minutes=signed.attended_minutes)
    near = (
        Note.objects.filter(
            practitioner_id=signed.practitioner_id,
            started_at__lt=ends,
            started_at__gt=signed.started_at - LONGEST_SESSION,
        )
        .exclude(client_id=client_id)
        .values_list("session_id", "started_at", "attended_minutes")
    )
    return tuple(
        sorted(
            session_id
            for session_id, began, minutes in near
            if began + timedelta(minutes=minutes) > signed.started_at
        )
    )
