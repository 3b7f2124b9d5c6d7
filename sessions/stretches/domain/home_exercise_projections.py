"""The rows of home exercises, from the events of one client."""

from __future__ import annotations

import msgspec

from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection
from sessions.stretches.domain import home_exercise_events as events

HOME_EXERCISE_ROWS = Projection("client_sessions.HomeExercise", watches=(events,))


@HOME_EXERCISE_ROWS.on(events.HomeExerciseAssigned)
def home_exercise_assigned(
    rows: ProjectedRows, event: events.HomeExerciseAssigned, meta: RecordedEvent
) -> None:
    row = {
        "prescription_id": event.prescription_id,
        "stretch": event.stretch,
        "name": event.name,
        "catalogue_version": event.catalogue_version,
        "side": event.side,
        "dose": msgspec.to_builtins(event.dose),
        "stop_signs": list(event.stop_signs),
        "assigned_on": event.assigned_on,
        "assigned_by": event.assigned_by,
        "session_id": event.session_id,
    }
    rows.put(event.home_exercise_id, row)


@HOME_EXERCISE_ROWS.on(events.HomeExerciseDiscontinued)
def home_exercise_discontinued(
    rows: ProjectedRows, event: events.HomeExerciseDiscontinued, meta: RecordedEvent
) -> None:
    rows.change(
        event.home_exercise_id,
        discontinued_at=meta.occurred_at,
        discontinued_reason=event.reason,
    )
