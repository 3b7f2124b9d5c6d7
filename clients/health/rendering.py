"""The health history as shown."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from clients.health.selectors import health_history_of

NO_HISTORY: dict[str, Any] = {
    "status": "none",
    "reviewed": None,
    "reviewed_at": None,
    "reviewed_by": None,
    "reports": [],
}


def serialize_health_history(client_id: UUID, version: int) -> dict[str, Any]:
    """The reviewed history and the reports that wait."""
    row = health_history_of(client_id)
    if row is None:
        return {**NO_HISTORY, "version": version}
    return {**{name: getattr(row, name) for name in NO_HISTORY}, "version": version}
