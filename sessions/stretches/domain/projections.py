"""The rows of prescriptions and re-checks, from the events of one client."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import msgspec

from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection
from sessions.stretches.domain import events
from sessions.stretches.domain.prescription_state import RecheckStatus, StretchStatus

PRESCRIPTION_ROWS = Projection(
    "client_sessions.Prescription",
    watches=(events,),
    ignores=(
        events.RecheckPutOnCallList,
        events.RecheckCoveredBySession,
        events.RecheckMaintained,
        events.RecheckRegressed,
        events.RecheckSkipped,
    ),
)
RECHECK_ROWS = Projection(
    "client_sessions.Recheck",
    watches=(events,),
    ignores=(
        events.StretchPrescribed,
        events.StretchStarted,
        events.StretchStartEnteredInError,
    ),
)


@PRESCRIPTION_ROWS.on(events.StretchPrescribed)
def prescribed(rows: ProjectedRows, event: events.StretchPrescribed, meta: RecordedEvent) -> None:
    row = {
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
        "prescribed_at": meta.occurred_at,
    }
    rows.put(event.prescription_id, row)


@PRESCRIPTION_ROWS.on(events.StretchStarted)
def started(rows: ProjectedRows, event: events.StretchStarted, meta: RecordedEvent) -> None:
    at = meta.occurred_at
    rows.change(
        event.prescription_id,
        status=StretchStatus.ACTIVE,
        started_at=at,
        active_since=at,
        start_in_error="",
    )


@PRESCRIPTION_ROWS.on(events.StretchStartEnteredInError)
def start_entered_in_error(
    rows: ProjectedRows, event: events.StretchStartEnteredInError, meta: RecordedEvent
) -> None:
    taken_back: dict[str, Any] = {
        "status": StretchStatus.PRESCRIBED,
        "started_at": None,
        "active_since": None,
    }
    changes = taken_back if event.rests_on is None else {}
    rows.change(event.prescription_id, start_in_error=event.reason, **changes)


@PRESCRIPTION_ROWS.on(events.StretchDischarged)
def discharged(rows: ProjectedRows, event: events.StretchDischarged, meta: RecordedEvent) -> None:
    rows.change(
        event.prescription_id,
        status=StretchStatus.DISCHARGED,
        discharged_at=meta.occurred_at,
        discharged_on=event.discharged_on,
        at_goal=event.at_goal,
        discharge_reason=event.reason,
        references=msgspec.to_builtins(event.references),
    )


@PRESCRIPTION_ROWS.on(events.StretchResumed)
def resumed(rows: ProjectedRows, event: events.StretchResumed, meta: RecordedEvent) -> None:
    before = rows.get(event.prescription_id) or {}
    rows.change(
        event.prescription_id,
        status=StretchStatus.ACTIVE,
        active_since=meta.occurred_at,
        resumed=before.get("resumed", 0) + 1,
        resumed_reason=event.reason,
    )


@PRESCRIPTION_ROWS.on(events.RecheckReopened)
def discharge_stands_again(
    rows: ProjectedRows, event: events.RecheckReopened, meta: RecordedEvent
) -> None:
    if not event.discharge_stands_again:
        return
    before = rows.get(event.prescription_id) or {}
    rows.change(
        event.prescription_id,
        status=StretchStatus.DISCHARGED,
        active_since=event.active_since,
        resumed=max(before.get("resumed", 1) - 1, 0),
        resumed_reason="",
    )


@PRESCRIPTION_ROWS.on(events.StretchEnded)
def ended(rows: ProjectedRows, event: events.StretchEnded, meta: RecordedEvent) -> None:
    rows.change(
        event.prescription_id,
        status=StretchStatus.ENDED,
        ended_at=meta.occurred_at,
        ended_reason=event.reason,
    )


def _plan(
    rows: ProjectedRows,
    prescription_id: UUID,
    planned: events.PlannedRecheck | None,
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


def _judged(event: events.RecheckMaintained | events.RecheckRegressed) -> dict[str, Any]:
    evaluations: dict[str, Any] = msgspec.to_builtins(
        {"readings": event.evaluations, "postures": event.postures, "pain": event.pain}
    )
    return evaluations


@RECHECK_ROWS.on(events.StretchDischarged)
def rechecks_planned(
    rows: ProjectedRows, event: events.StretchDischarged, meta: RecordedEvent
) -> None:
    place = {"facility_id": event.facility_id, "practitioner_id": event.practitioner_id}
    for planned in event.planned:
        _plan(rows, event.prescription_id, planned, place)


@RECHECK_ROWS.on(events.RecheckPutOnCallList)
def put_on_call_list(
    rows: ProjectedRows, event: events.RecheckPutOnCallList, meta: RecordedEvent
) -> None:
    rows.change(
        event.recheck_id,
        status=RecheckStatus.ON_CALL_LIST,
        on_call_list_at=meta.occurred_at,
        channel=event.channel,
    )


@RECHECK_ROWS.on(events.RecheckCoveredBySession)
def covered_by_session(
    rows: ProjectedRows, event: events.RecheckCoveredBySession, meta: RecordedEvent
) -> None:
    rows.change(event.recheck_id, covered_by_session_id=event.session_id)


@RECHECK_ROWS.on(events.RecheckMaintained)
def maintained(rows: ProjectedRows, event: events.RecheckMaintained, meta: RecordedEvent) -> None:
    rows.change(
        event.recheck_id,
        status=RecheckStatus.MAINTAINED,
        closed_at=meta.occurred_at,
        evaluations=_judged(event),
    )
    place = _place_of(rows, event.recheck_id)
    _plan(rows, event.prescription_id, event.planned_next, place)


@RECHECK_ROWS.on(events.RecheckRegressed)
def regressed(rows: ProjectedRows, event: events.RecheckRegressed, meta: RecordedEvent) -> None:
    rows.change(
        event.recheck_id,
        status=RecheckStatus.REGRESSED,
        closed_at=meta.occurred_at,
        evaluations=_judged(event),
        refer=event.refer,
    )


@RECHECK_ROWS.on(events.RecheckSkipped)
def skipped(rows: ProjectedRows, event: events.RecheckSkipped, meta: RecordedEvent) -> None:
    rows.change(
        event.recheck_id,
        status=RecheckStatus.SKIPPED,
        closed_at=meta.occurred_at,
        skipped_reason=event.reason,
        passed=event.passed,
    )
    place = _place_of(rows, event.recheck_id)
    _plan(rows, event.prescription_id, event.planned_next, place)


@RECHECK_ROWS.on(events.RecheckReopened)
def reopened(rows: ProjectedRows, event: events.RecheckReopened, meta: RecordedEvent) -> None:
    for one in event.reopened:
        before = rows.get(one.recheck_id) or {}
        called = before.get("on_call_list_at") is not None
        rows.change(
            one.recheck_id,
            status=RecheckStatus.ON_CALL_LIST if called else RecheckStatus.PLANNED,
            closed_at=None,
            skipped_reason="",
            passed=False,
            refer=False,
            evaluations={},
        )
    for key in event.withdrawn:
        rows.change(key, status=RecheckStatus.ENDED, closed_at=meta.occurred_at)


@RECHECK_ROWS.on(events.StretchResumed, events.StretchEnded)
def rechecks_cancelled(
    rows: ProjectedRows,
    event: events.StretchResumed | events.StretchEnded,
    meta: RecordedEvent,
) -> None:
    for key in event.cancelled:
        rows.change(key, status=RecheckStatus.ENDED, closed_at=meta.occurred_at)
