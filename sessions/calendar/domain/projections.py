"""The rows of the calendar's read table, from the events of one client."""

from __future__ import annotations

from typing import Any

import msgspec

from clients.permissions.domain.results import narrower
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, projection
from practice.core.reasons import Reason
from practice.core.terms import Mode
from sessions.calendar.domain.events import (
    SessionArrived,
    SessionBooked,
    SessionCancelled,
    SessionCompleted,
    SessionFlagged,
    SessionMarkedNoShow,
    SessionMoved,
    SessionOpened,
    SessionStopped,
)
from sessions.calendar.domain.state import SessionStatus


def _plain(reasons: tuple[Reason, ...]) -> list[dict[str, Any]]:
    plain: list[dict[str, Any]] = msgspec.to_builtins(reasons)
    return plain


def _place(event: SessionBooked | SessionMoved) -> dict[str, Any]:
    return {
        "practitioner_id": event.practitioner_id,
        "credential": event.credential,
        "facility_id": event.facility_id,
        "room_id": event.room_id,
        "starts_at": event.starts_at,
        "ends_at": event.ends_at,
        "zone": event.zone,
        "local_date": event.local_date,
        "planned_mode": event.planned_mode,
        "mode": event.planned_mode,
        "widest_mode": event.planned_mode,
        "warnings": _plain(event.warnings),
        "reasons": _plain(event.permissions.reasons),
        "exception_id": event.exception_id,
        "flagged": False,
        "flag_reasons": [],
        "flag_cause": "",
    }


@projection(
    "client_sessions.Session",
    SessionBooked,
    SessionMoved,
    SessionCancelled,
    SessionMarkedNoShow,
    SessionArrived,
    SessionOpened,
    SessionFlagged,
    SessionStopped,
    SessionCompleted,
)
def session_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """One row per session; every event of the calendar changes the row of its session."""
    match rec.data:
        case SessionBooked() as event:
            overlaps = [str(one) for one in event.overlaps]
            fresh = {
                "requested_mode": event.requested_mode,
                "purpose": event.purpose,
                "late_entry": event.late_entry,
                "overlaps": overlaps,
            }
            rows.put(event.session_id, {**_place(event), **fresh, "status": SessionStatus.BOOKED})
        case SessionMoved() as event:
            requested_mode = (
                {"requested_mode": event.requested_mode} if event.requested_mode else {}
            )
            rows.change(event.session_id, **_place(event), **requested_mode)
        case SessionCancelled() as event:
            rows.change(
                event.session_id,
                status=SessionStatus.CANCELLED,
                cancelled_by=event.by,
                notice_minutes=event.notice_minutes,
                ended_reason=event.reason,
            )
        case SessionMarkedNoShow() as event:
            rows.change(event.session_id, status=SessionStatus.NO_SHOW, ended_reason=event.reason)
        case SessionArrived() as event:
            _arrived(rows, rec, event)
        case SessionOpened() as event:
            rows.change(event.session_id, opened_at=rec.occurred_at)
            _judged(rows, event)
        case SessionFlagged() as event:
            rows.change(
                event.session_id,
                flagged=True,
                mode=event.now,
                widest_mode=event.now,
                flag_reasons=_plain(event.reasons),
                flag_cause=event.cause,
            )
        case SessionStopped() as event:
            rows.change(event.session_id, stopped_at_minute=event.minute)
        case SessionCompleted() as event:
            rows.change(event.session_id, status=SessionStatus.COMPLETED, note_id=event.note_id)


def _arrived(rows: ProjectedRows, rec: RecordedEvent, event: SessionArrived) -> None:
    row = rows.get(event.session_id)
    if row is None:
        return
    rows.change(
        event.session_id,
        status=SessionStatus.ARRIVED,
        arrived_at=row.get("arrived_at") or rec.occurred_at,
        hands_on_today=event.answers.hands_on_today,
    )
    _judged(rows, event)


def _judged(rows: ProjectedRows, event: SessionArrived | SessionOpened) -> None:
    """What the answers allow, bounded by the plan and its flag: never by earlier answers."""
    row = rows.get(event.session_id)
    if row is None:
        return
    rows.change(
        event.session_id,
        mode=narrower(Mode(row["widest_mode"]), event.permissions.mode),
        reasons=_plain(event.permissions.reasons),
    )
