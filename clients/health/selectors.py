"""A client's record on this floor: what stands now, what happened, and what was known when."""

from __future__ import annotations

from uuid import UUID

from clients.health.models import HealthHistory


def health_history_of(client_id: UUID) -> HealthHistory | None:
    """Her health history, or None where nobody has asked."""
    return HealthHistory.objects.filter(pk=client_id).first()
