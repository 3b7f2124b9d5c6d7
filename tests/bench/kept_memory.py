"""What a process holds for the clients whose states it keeps."""

from __future__ import annotations

import gc
from typing import Any

from django.test import override_settings

from practice.eventstore.models import StreamHead
from practice.work.kept_states import kept_states
from practice.work.unit_of_work import unit_of_work
from sessions.measurements.domain.state import MEASUREMENTS
from tests.bench.bars_record import ACTOR
from tests.bench.memory import memory_of_this
from tests.bench.real_readings import real_reading

FEW = 20
"""Clients before the first measurement: what a process imports and prepares once."""


def build() -> dict[str, Any]:
    """Bytes of the process before and after a reading of each client, and of the stored events."""
    clients = list(StreamHead.objects.order_by("stream").values_list("stream", flat=True))
    with override_settings(KEPT_STATES_BYTES=10**12):
        for client_id in clients[:FEW]:
            _reading(client_id)
        gc.collect()
        before, stored = memory_of_this(), kept_states.size
        for client_id in clients[FEW:]:
            _reading(client_id)
        gc.collect()
        after = memory_of_this()
        return {
            "clients": len(clients) - FEW,
            "bytes": after - before,
            "stored": kept_states.size - stored,
        }


def _reading(client_id: Any) -> None:
    with unit_of_work(actor=ACTOR, request_id="bench") as uow:
        uow.execute(client_id, (MEASUREMENTS,), lambda _states, _context: [real_reading(1)])
