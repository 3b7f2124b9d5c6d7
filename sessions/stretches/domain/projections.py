"""The rows of prescriptions, re-checks and home exercises, from the events of one client."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import msgspec

from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, projection
from sessions.stretches.domain.events import (
    HomeExerciseAssigned,
    HomeExerciseDiscontinued,
    PlannedRecheck,
    RecheckCoveredBySession,
    RecheckMaintained,
    RecheckPutOnCallList,
    RecheckRegressed,
    RecheckSkipped,
    StretchDischarged,
    StretchEnded,
    StretchPrescribed,
    StretchResumed,
    StretchStarted,
)
from sessions.stretches.domain.state import RecheckStatus, StretchStatus


def _prescribed(rec: RecordedEvent, event: StretchPrescribed) -> dict[str, Any]:
    return {
        "stretch": event.stretch,
        "name": event.name,
        "catalogue_version": event.catalogue_version,
        "side": event.side,
        "techniques": list(event.techniques),
        "doses": msgspec.to_builtins(event.doses),
        "movements": list(event.movements),
        "findings": list(event.findings),
        "eases_pain": event.eases_pain,
        "dose_warnings": list(event.warnings),
        "reason": event.reason,
        "facility_id": event.facility_id,
        "status": StretchStatus.PRESCRIBED,
        "prescribed_at": rec.occurred_at,
    }


@projection(
    "client_sessions.Prescription",
    StretchPrescribed,
    StretchStarted,
    StretchDischarged,
    StretchResumed,
    StretchEnded,
)
def prescription_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """One row per prescription, changed by every step of its way."""
    at = rec.occurred_at
    match rec.data:
        case StretchPrescribed() as event:
            rows.put(event.prescription_id, _prescribed(rec, event))
        case StretchStarted() as event:
            rows.change(
                event.prescription_id, status=StretchStatus.ACTIVE, started_at=at, active_since=at
            )
        case StretchDischarged() as event:
            rows.change(
                event.prescription_id,
                status=StretchStatus.DISCHARGED,
                discharged_at=at,
                discharged_on=event.discharged_on,
                at_goal=event.at_goal,
                discharge_reason=event.reason,
                references=msgspec.to_builtins(event.references),
            )
        case StretchResumed() as event:
            before = rows.get(event.prescription_id) or {}
            rows.change(
                event.prescription_id,
                status=StretchStatus.ACTIVE,
                active_since=at,
                resumed=before.get("resumed", 0) + 1,
                resumed_reason=event.reason,
            )
        case StretchEnded() as event:
            rows.change(
                event.prescription_id,
                status=StretchStatus.ENDED,
                ended_at=at,
                ended_reason=event.reason,
            )


def _plan(
    rows: ProjectedRows,
    prescription_id: UUID,
    planned: PlannedRecheck | None,
    place: dict[str, Any],
) -> None:
    if planned is None:
        return
    row = {
        "prescription_id": prescription_id,
        "months": planned.months,
        "due_on": planned.due_on,
        "due_at": planned.due_at,
        "call_at": planned.call_at,
        "status": RecheckStatus.PLANNED,
        **place,
    }
    rows.put(planned.recheck_id, row)


def _place_of(rows: ProjectedRows, recheck_id: UUID) -> dict[str, Any]:
    """Facility and practitioner pass from a re-check to the one that follows it."""
    before = rows.get(recheck_id) or {}
    return {name: before.get(name) for name in ("facility_id", "practitioner_id")}


def _judged(event: RecheckMaintained | RecheckRegressed) -> dict[str, Any]:
    evaluations: dict[str, Any] = msgspec.to_builtins(
        {"readings": event.evaluations, "postures": event.postures, "pain": event.pain}
    )
    return evaluations


@projection(
    "client_sessions.Recheck",
    StretchDischarged,
    RecheckPutOnCallList,
    RecheckCoveredBySession,
    RecheckMaintained,
    RecheckRegressed,
    RecheckSkipped,
    StretchResumed,
    StretchEnded,
)
def recheck_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """One row per re-check: the call list."""
    at = rec.occurred_at
    match rec.data:
        case StretchDischarged() as event:
            place = {"facility_id": event.facility_id, "practitioner_id": event.practitioner_id}
            for planned in event.planned:
                _plan(rows, event.prescription_id, planned, place)
        case RecheckPutOnCallList() as event:
            rows.change(
                event.recheck_id,
                status=RecheckStatus.ON_CALL_LIST,
                on_call_list_at=at,
                channel=event.channel,
            )
        case RecheckCoveredBySession() as event:
            rows.change(event.recheck_id, covered_by_session_id=event.session_id)
        case RecheckMaintained() as event:
            rows.change(
                event.recheck_id,
                status=RecheckStatus.MAINTAINED,
                closed_at=at,
                evaluations=_judged(event),
            )
            place = _place_of(rows, event.recheck_id)
            _plan(rows, event.prescription_id, event.planned_next, place)
        case RecheckRegressed() as event:
            rows.change(
                event.recheck_id,
                status=RecheckStatus.REGRESSED,
                closed_at=at,
                evaluations=_judged(event),
                refer=event.refer,
            )
        case RecheckSkipped() as event:
            rows.change(
                event.recheck_id,
                status=RecheckStatus.SKIPPED,
                closed_at=at,
                skipped_reason=event.reason,
                passed=event.passed,
            )
            place = _place_of(rows, event.recheck_id)
            _plan(rows, event.prescription_id, event.planned_next, place)
        case StretchResumed() | StretchEnded() as event:
            for key in event.cancelled:
                rows.change(key, status=RecheckStatus.ENDED, closed_at=at)


@projection("client_sessions.HomeExercise", HomeExerciseAssigned, HomeExerciseDiscontinued)
def home_exercise_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """One row per home exercise."""
    match rec.data:
        case HomeExerciseAssigned() as event:
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
            }
            rows.put(event.home_exercise_id, row)
        case HomeExerciseDiscontinued() as event:
            rows.change(
                event.home_exercise_id,
                discontinued_at=rec.occurred_at,
                discontinued_reason=event.reason,
            )
