"""What was measured in a session, beside its note."""

from __future__ import annotations

from uuid import UUID

from sessions.measurements.models import Circumferences, Reading


def measured_in(
    client_id: UUID, session_id: UUID
) -> dict[str, list[Reading] | list[Circumferences]]:
    """The readings and circumferences that name a session and count, in their order."""
    here = {"client_id": client_id, "session_id": session_id}
    order = ("taken_at", "recorded_at", "id")
    return {
        "readings": list(Reading.objects.filter(**here).order_by(*order)),
        "circumferences": list(Circumferences.objects.filter(**here).order_by(*order)),
    }
