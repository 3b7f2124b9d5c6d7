"""The rows of calls, and of what was last said of each thing that they were about. Pure."""

from __future__ import annotations

from typing import Any

import msgspec

from clients.calls.domain import events
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection

CALL_ROWS = Projection("clients.Call", watches=(events,))
CALL_TOPIC_ROWS = Projection("clients.CallTopic", watches=(events,))


def _outcome(event: events.ClientCalled, meta: RecordedEvent) -> dict[str, Any]:
    return {
        "called_at": meta.occurred_at,
        "called_by": meta.actor,
        "outcome": event.outcome,
        "again_at": event.again_at,
    }


@CALL_ROWS.on(events.ClientCalled)
def called(rows: ProjectedRows, event: events.ClientCalled, meta: RecordedEvent) -> None:
    subjects = msgspec.to_builtins(event.about)
    rows.put(event.call_id, {**_outcome(event, meta), "subjects": subjects, "note": event.note})


@CALL_TOPIC_ROWS.on(events.ClientCalled)
def spoken_of(rows: ProjectedRows, event: events.ClientCalled, meta: RecordedEvent) -> None:
    """A call that is entered late does not stand in the place of a later one."""
    for one in event.about:
        before = rows.get(one.id)
        if before is None or before["called_at"] <= meta.occurred_at:
            rows.put(one.id, {**_outcome(event, meta), "reason": one.reason})
