"""The rows of readings, goals, posture and circumferences, from the events of one client."""

from __future__ import annotations

from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection
from sessions.measurements.domain import events
from sessions.measurements.domain.volume import volume_ml

READING_ROWS = Projection(
    "client_sessions.Reading",
    watches=(events,),
    ignores=(
        events.GoalSet,
        events.PostureRecorded,
        events.PostureEnteredInError,
        events.CircumferencesMeasured,
        events.CircumferencesEnteredInError,
    ),
)
GOAL_ROWS = Projection(
    "client_sessions.Goal",
    watches=(events,),
    ignores=(
        events.ReadingRecorded,
        events.ReadingEnteredInError,
        events.PostureRecorded,
        events.PostureEnteredInError,
        events.CircumferencesMeasured,
        events.CircumferencesEnteredInError,
    ),
)
POSTURE_ROWS = Projection(
    "client_sessions.PostureFinding",
    watches=(events,),
    ignores=(
        events.ReadingRecorded,
        events.ReadingEnteredInError,
        events.GoalSet,
        events.CircumferencesMeasured,
        events.CircumferencesEnteredInError,
    ),
)
CIRCUMFERENCES_ROWS = Projection(
    "client_sessions.Circumferences",
    watches=(events,),
    ignores=(
        events.ReadingRecorded,
        events.ReadingEnteredInError,
        events.GoalSet,
        events.PostureRecorded,
        events.PostureEnteredInError,
    ),
)


@READING_ROWS.on(events.ReadingRecorded)
def reading_recorded(
    rows: ProjectedRows, event: events.ReadingRecorded, meta: RecordedEvent
) -> None:
    row = {
        "session_id": event.session_id,
        "movement": event.movement,
        "side": event.side,
        "motion": event.motion,
        "degrees": event.degrees,
        "position": event.position,
        "instrument": event.instrument,
        "rater_id": event.rater_id,
        "pain": event.pain,
        "assisted": event.assisted,
        "confirmed_unlikely": event.confirmed_unlikely,
        "new_pain": event.new_pain,
        "new_swelling": event.new_swelling,
        "explanation": event.explanation,
        "taken_at": meta.occurred_at,
        "recorded_at": meta.recorded_at,
    }
    rows.put(event.reading_id, row)


@READING_ROWS.on(events.ReadingEnteredInError)
def reading_entered_in_error(
    rows: ProjectedRows, event: events.ReadingEnteredInError, meta: RecordedEvent
) -> None:
    rows.delete(event.reading_id)


@GOAL_ROWS.on(events.GoalSet)
def goal_set(rows: ProjectedRows, event: events.GoalSet, meta: RecordedEvent) -> None:
    row = {
        "kind": event.kind,
        "movement": event.movement or "",
        "side": event.side or "",
        "degrees": event.degrees,
        "finding": event.finding or "",
        "pain_at_most": event.pain_at_most,
        "basis": event.basis,
        "source": event.source,
        "edition": event.edition,
        "reason": event.reason,
        "reading_id": event.reading_id,
        "set_at": meta.occurred_at,
        "replaced_by": None,
    }
    rows.put(event.goal_id, row)
    if event.replaces is not None:
        rows.change(event.replaces, replaced_by=event.goal_id)


@POSTURE_ROWS.on(events.PostureRecorded)
def posture_recorded(
    rows: ProjectedRows, event: events.PostureRecorded, meta: RecordedEvent
) -> None:
    row = {
        "session_id": event.session_id,
        "finding": event.finding,
        "description": event.description,
        "side": event.side,
        "severity": event.severity,
        "observer_id": event.observer_id,
        "observed_at": meta.occurred_at,
    }
    rows.put(event.finding_id, row)


@POSTURE_ROWS.on(events.PostureEnteredInError)
def posture_entered_in_error(
    rows: ProjectedRows, event: events.PostureEnteredInError, meta: RecordedEvent
) -> None:
    rows.delete(event.finding_id)


@CIRCUMFERENCES_ROWS.on(events.CircumferencesMeasured)
def circumferences_measured(
    rows: ProjectedRows, event: events.CircumferencesMeasured, meta: RecordedEvent
) -> None:
    row = {
        "session_id": event.session_id,
        "interval_cm": event.interval_cm,
        "left": list(event.left),
        "right": list(event.right),
        "left_ml": round(volume_ml(event.left, event.interval_cm), 3),
        "right_ml": round(volume_ml(event.right, event.interval_cm), 3),
        "baseline": event.baseline,
        "new_heaviness": event.new_heaviness,
        "stage": event.stage or "",
        "stage_side": event.stage_side or "",
        "rater_id": event.rater_id,
        "taken_at": meta.occurred_at,
        "recorded_at": meta.recorded_at,
    }
    rows.put(event.circumferences_id, row)


@CIRCUMFERENCES_ROWS.on(events.CircumferencesEnteredInError)
def circumferences_entered_in_error(
    rows: ProjectedRows, event: events.CircumferencesEnteredInError, meta: RecordedEvent
) -> None:
    rows.delete(event.circumferences_id)
