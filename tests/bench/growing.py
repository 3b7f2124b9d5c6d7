"""A practice that grows while it is measured: long records, then more clients."""

from __future__ import annotations

import time
from typing import Any

from practice.audit import rebuild
from practice.core.terms import Role
from practice.eventstore.models import StoredEvent, StreamHead
from tests.bench.at_noon import asked, finish, practice_at_noon
from tests.bench.bars_http import lengthen
from tests.bench.filling import fill
from tests.harness.furnishing import READING
from tests.sessions.people import open_client

HANDS = Role.PRACTITIONER.value


def build(*, lengths: tuple[int, ...] = (), clients: int = 0, events: int = 0) -> dict[str, Any]:
    """``lengths``: a practice with a client of each. ``clients``: fill up to so many, each with
    so many ``events``, and make the read tables again."""
    return _begin(lengths) if lengths else _grow(clients, events)


def _begin(lengths: tuple[int, ...]) -> dict[str, Any]:
    built = practice_at_noon()
    records = {}
    for length in lengths:
        client_id = open_client(built)
        lengthen(built, client_id, length)
        path = f"clients/{client_id}"
        records[str(length)] = {
            "a command": asked("POST", f"{path}/range-of-motion", HANDS, READING | {"degrees": 99}),
            "readings": asked("GET", f"{path}/range-of-motion", HANDS),
            "history": asked("GET", f"{path}/history", HANDS),
        }
    return {"tokens": finish(built), "records": records}


def _grow(clients: int, events: int) -> dict[str, Any]:
    missing = clients - StreamHead.objects.count()
    if missing > 0:
        fill(missing, events)
    start = time.perf_counter()
    done = rebuild.rebuild()
    seconds = time.perf_counter() - start
    return {"events": StoredEvent.objects.count(), "rebuilt": done.events / seconds}
