"""The rows of prescriptions, re-checks and home exercises, from the events of one client."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import msgspec

from practice.domain.events import Recorded
from practice.domain.projecting import Rows, projector
from sessions.domain.programme.events import (
    HomeExerciseTakenBack,
    HomeExerciseTaught,
    PlannedRecheck,
    RecheckCalled,
    RecheckCarried,
    RecheckHeld,
    RecheckLost,
    RecheckSkipped,
    StretchDischarged,
    StretchEnded,
    StretchPrescribed,
    StretchResumed,
    StretchStarted,
)
from sessions.domain.programme.state import RecheckStatus, Standing


def _prescribed(rec: Recorded, event: StretchPrescribed) -> dict[str, Any]:
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
        "standing": Standing.PRESCRIBED,
        "prescribed_at": rec.effective_at,
    }


@projector(
    "client_sessions.Prescription",
    StretchPrescribed,
    StretchStarted,
    StretchDischarged,
    StretchResumed,
    StretchEnded,
)
def prescription_row(rows: Rows, rec: Recorded) -> None:
    """One row per prescription, changed by every step of its way."""
    at = rec.effective_at
    match rec.data:
        case StretchPrescribed() as event:
            rows.put(event.prescription_id, _prescribed(rec, event))
        case StretchStarted() as event:
            rows.change(
                event.prescription_id, standing=Standing.ACTIVE, started_at=at, active_since=at
            )
        case StretchDischarged() as event:
            rows.change(
                event.prescription_id,
                standing=Standing.DISCHARGED,
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
                standing=Standing.ACTIVE,
                active_since=at,
                resumed=before.get("resumed", 0) + 1,
                resumed_reason=event.reason,
            )
        case StretchEnded() as event:
            rows.change(
                event.prescription_id,
                standing=Standing.ENDED,
                ended_at=at,
                ended_reason=event.reason,
            )


def _plan(
    rows: Rows, prescription_id: UUID, planned: PlannedRecheck | None, place: dict[str, Any]
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


def _place_of(rows: Rows, recheck_id: UUID) -> dict[str, Any]:
    """Facility and practitioner pass from a re-check to the one that follows it."""
    before = rows.get(recheck_id) or {}
    return {name: before.get(name) for name in ("facility_id", "practitioner_id")}


def _judged(event: RecheckHeld | RecheckLost) -> dict[str, Any]:
    judged: dict[str, Any] = msgspec.to_builtins(
        {"readings": event.judged, "postures": event.postures, "pain": event.pain}
    )
    return judged


@projector(
    "client_sessions.Recheck",
    StretchDischarged,
    RecheckCalled,
    RecheckCarried,
    RecheckHeld,
    RecheckLost,
    RecheckSkipped,
    StretchResumed,
    StretchEnded,
)
def recheck_row(rows: Rows, rec: Recorded) -> None:
    """One row per re-check: the call list."""
    at = rec.effective_at
    match rec.data:
        case StretchDischarged() as event:
            place = {"facility_id": event.facility_id, "practitioner_id": event.practitioner_id}
            for planned in event.planned:
                _plan(rows, event.prescription_id, planned, place)
        case RecheckCalled() as event:
            rows.change(
                event.recheck_id,
                status=RecheckStatus.CALLED,
                called_at=at,
                channel=event.channel,
            )
        case RecheckCarried() as event:
            rows.change(event.recheck_id, carried_by=event.session_id)
        case RecheckHeld() as event:
            rows.change(
                event.recheck_id, status=RecheckStatus.HELD, closed_at=at, judged=_judged(event)
            )
            place = _place_of(rows, event.recheck_id)
            _plan(rows, event.prescription_id, event.planned_next, place)
        case RecheckLost() as event:
            rows.change(
                event.recheck_id,
                status=RecheckStatus.LOST,
                closed_at=at,
                judged=_judged(event),
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


@projector("client_sessions.HomeExercise", HomeExerciseTaught, HomeExerciseTakenBack)
def home_exercise_row(rows: Rows, rec: Recorded) -> None:
    """One row per home exercise."""
    match rec.data:
        case HomeExerciseTaught() as event:
            row = {
                "prescription_id": event.prescription_id,
                "stretch": event.stretch,
                "name": event.name,
                "catalogue_version": event.catalogue_version,
                "side": event.side,
                "dose": msgspec.to_builtins(event.dose),
                "stop_signs": list(event.stop_signs),
                "taught_on": event.taught_on,
                "taught_by": event.taught_by,
            }
            rows.put(event.home_exercise_id, row)
        case HomeExerciseTakenBack() as event:
            rows.change(
                event.home_exercise_id,
                taken_back_at=rec.effective_at,
                taken_back_reason=event.reason,
            )
