"""Where the erasure of a record stands, as shown."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any
from uuid import UUID

import msgspec

from practice.audit.domain.state import ERASURE, ErasureStatus
from practice.audit.open_business import erasure_warnings
from practice.audit.selectors import retention_of
from practice.audit.serializers import (
    ErasureOutputSerializer,
    LogComparisonTaskOutputSerializer,
)
from practice.jobs.models import LongTask
from practice.work.unit_of_work import Outcome, UnitOfWork


def serialize_erasure(client_id: UUID, status: ErasureStatus) -> Any:
    """The state, and what should be known before it goes on: open business, jobs."""
    open_business = [] if status.closed else erasure_warnings(client_id)
    shown = {
        **asdict(status),
        "state": _state(status),
        "retained_until": status.retained_until or retention_of(client_id),
        "warnings": [msgspec.structs.asdict(one) for one in open_business],
    }
    return ErasureOutputSerializer(shown).data


def render_erasure(uow: UnitOfWork, outcome: Outcome) -> Any:
    """The same after a command."""
    states = uow.states(outcome.client_id, (ERASURE,))
    return serialize_erasure(outcome.client_id, states[ERASURE])


def _state(status: ErasureStatus) -> str:
    if status.key_destroyed:
        return "key_destroyed"
    if status.closed:
        return "closed"
    return "ordered" if status.erasure_id else "none"


def serialize_comparison(task: LongTask) -> Any:
    """A comparison of a large log, as far as it is."""
    running = "running" if task.done else "waiting"
    shown = {
        "id": task.pk,
        "state": "finished" if task.finished_at else running,
        "requested_at": task.requested_at,
        "finished_at": task.finished_at,
        "clients": task.done,
        "clients_in_all": task.total,
        **task.result,
    }
    return LogComparisonTaskOutputSerializer(shown).data
