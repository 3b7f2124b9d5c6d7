"""A client's record in this app: what stands now, what happened, and what was known when."""

from __future__ import annotations

from uuid import UUID

from clients.health.models import HealthHistory
from practice.core.reasons import Rejected
from practice.core.terms import Role


def health_history_of(client_id: UUID) -> HealthHistory | None:
    """The client's health history, or None where nobody has asked."""
    return HealthHistory.objects.filter(pk=client_id).first()


def check_history_readable(role: Role, client_id: UUID) -> None:
    """Raises Rejected 403: the front desk reads a history until a practitioner reviewed it."""
    row = health_history_of(client_id)
    if role is Role.FRONT_DESK and row is not None and row.status == "reviewed":
        raise Rejected(
            "reviewed_history", "A reviewed history is read by practitioners.", status=403
        )
