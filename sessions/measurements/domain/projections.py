"""The rows of readings, goals, posture findings and girths, from the events of one client."""

from __future__ import annotations

from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, projection
from sessions.measurements.domain.events import (
    CircumferencesEnteredInError,
    CircumferencesMeasured,
    GoalSet,
    PostureEnteredInError,
    PostureRecorded,
    ReadingEnteredInError,
    ReadingRecorded,
)
from sessions.measurements.domain.volume import volume_ml


@projection("client_sessions.Reading", ReadingRecorded, ReadingEnteredInError)
def reading_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """One row per reading that counts."""
    match rec.data:
        case ReadingRecorded() as event:
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
                "taken_at": rec.occurred_at,
                "recorded_at": rec.recorded_at,
            }
            rows.put(event.reading_id, row)
        case ReadingEnteredInError() as event:
            rows.delete(event.reading_id)


@projection("client_sessions.Goal", GoalSet)
def goal_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """One row per goal; the one that it replaces says so."""
    if not isinstance(rec.data, GoalSet):
        return
    event = rec.data
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
        "set_at": rec.occurred_at,
        "replaced_by": None,
    }
    rows.put(event.goal_id, row)
    if event.replaces is not None:
        rows.change(event.replaces, replaced_by=event.goal_id)


@projection("client_sessions.PostureFinding", PostureRecorded, PostureEnteredInError)
def posture_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """One row per posture finding that counts."""
    match rec.data:
        case PostureRecorded() as event:
            row = {
                "session_id": event.session_id,
                "finding": event.finding,
                "description": event.description,
                "side": event.side,
                "severity": event.severity,
                "observer_id": event.observer_id,
                "observed_at": rec.occurred_at,
            }
            rows.put(event.finding_id, row)
        case PostureEnteredInError() as event:
            rows.delete(event.finding_id)


@projection("client_sessions.Circumferences", CircumferencesMeasured, CircumferencesEnteredInError)
def circumferences_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """One row per set of girths that counts, with the volumes it makes."""
    match rec.data:
        case CircumferencesMeasured() as event:
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
                "taken_at": rec.occurred_at,
            }
            rows.put(event.circumferences_id, row)
        case CircumferencesEnteredInError() as event:
            rows.delete(event.circumferences_id)
