"""The health history as shown."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from clients.health.domain.events import HistoryReported
from clients.health.selectors import health_history_of
from clients.health.serializers import (
    HealthHistoryOutputSerializer,
    HistoryReportReceiptOutputSerializer,
)
from practice.core.terms import Role
from practice.http.representations import Representation
from practice.work.unit_of_work import Outcome, UnitOfWork

NO_HISTORY: dict[str, Any] = {
    "status": "none",
    "reviewed": None,
    "reviewed_at": None,
    "reviewed_by": None,
    "reports": [],
}


def serialize_health_history(_role: Role, client_id: UUID, version: int) -> Any:
    """The reviewed history and the reports that wait."""
    row = health_history_of(client_id)
    shown = NO_HISTORY if row is None else {name: getattr(row, name) for name in NO_HISTORY}
    return HealthHistoryOutputSerializer({**shown, "version": version}).data


def render_report_receipt(_uow: UnitOfWork, outcome: Outcome) -> Representation:
    """That a report was taken; its content is not shown back to the desk."""
    row = health_history_of(outcome.client_id)
    taken = {
        "report_id": outcome.first(HistoryReported).report_id,
        "status": NO_HISTORY["status"] if row is None else row.status,
        "version": outcome.version,
    }
    return Representation(HistoryReportReceiptOutputSerializer(taken).data, outcome.version)
