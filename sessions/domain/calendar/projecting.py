"""The rows of the calendar's read table, from the events of one client."""

from __future__ import annotations

from typing import Any

import msgspec

from practice.domain.events import Recorded
from practice.domain.projecting import Rows, projector
from practice.domain.reasons import Reason
from practice.domain.terms import Mode
from sessions.domain.calendar.events import (
    SessionAbsent,
    SessionArrived,
    SessionBooked,
    SessionCancelled,
    SessionCompleted,
    SessionFlagged,
    SessionMoved,
    SessionOpened,
    SessionStopped,
)
from sessions.domain.calendar.modes import narrower
from sessions.domain.calendar.state import Status


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
        "most": event.planned_mode,
        "warnings": _plain(event.warnings),
        "reasons": _plain(event.judgement.reasons),
        "exception_id": event.exception_id,
        "flagged": False,
        "flag_reasons": [],
        "flag_because": "",
    }


@projector(
    "client_sessions.Session",
    SessionBooked,
    SessionMoved,
    SessionCancelled,
    SessionAbsent,
    SessionArrived,
    SessionOpened,
    SessionFlagged,
    SessionStopped,
    SessionCompleted,
)
def session_row(rows: Rows, rec: Recorded) -> None:
    """One row per session; every event of the calendar changes the row of its session."""
    match rec.data:
        case SessionBooked() as event:
            overlaps = [str(one) for one in event.overlaps]
            fresh = {
                "wish": event.wish,
                "purpose": event.purpose,
                "late": event.late,
                "overlaps": overlaps,
            }
            rows.put(event.session_id, {**_place(event), **fresh, "status": Status.BOOKED})
        case SessionMoved() as event:
            wish = {"wish": event.wish} if event.wish else {}
            rows.change(event.session_id, **_place(event), **wish)
        case SessionCancelled() as event:
            rows.change(
                event.session_id,
                status=Status.CANCELLED,
                cancelled_by=event.by,
                notice_minutes=event.notice_minutes,
                ended_reason=event.reason,
            )
        case SessionAbsent() as event:
            rows.change(event.session_id, status=Status.ABSENT, ended_reason=event.reason)
        case SessionArrived() as event:
            _arrived(rows, rec, event)
        case SessionOpened() as event:
            rows.change(event.session_id, opened_at=rec.effective_at)
            _judged(rows, event)
        case SessionFlagged() as event:
            rows.change(
                event.session_id,
                flagged=True,
                mode=event.now,
                most=event.now,
                flag_reasons=_plain(event.reasons),
                flag_because=event.because,
            )
        case SessionStopped() as event:
            rows.change(event.session_id, stopped_at_minute=event.minute)
        case SessionCompleted() as event:
            rows.change(event.session_id, status=Status.COMPLETED, note_id=event.note_id)


def _arrived(rows: Rows, rec: Recorded, event: SessionArrived) -> None:
    row = rows.get(event.session_id)
    if row is None:
        return
    rows.change(
        event.session_id,
        status=Status.ARRIVED,
        arrived_at=row.get("arrived_at") or rec.effective_at,
        hands_on_today=event.answers.hands_on_today,
    )
    _judged(rows, event)


def _judged(rows: Rows, event: SessionArrived | SessionOpened) -> None:
    """What the answers allow, bounded by the plan and its flag: never by earlier answers."""
    row = rows.get(event.session_id)
    if row is None:
        return
    rows.change(
        event.session_id,
        mode=narrower(Mode(row["most"]), event.judgement.mode),
        reasons=_plain(event.judgement.reasons),
    )
