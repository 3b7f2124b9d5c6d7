"""The rows of the calendar's read table, from the events of one client."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from clients.permissions.domain.results import HandsOnExtent, least_extent, narrower
from practice.core.events import RecordedEvent
from practice.core.localtime import last_local_day
from practice.core.projections import ProjectedRows, Projection
from practice.core.terms import Mode
from sessions.calendar.domain import events, terms
from sessions.calendar.domain.flag_columns import (
    NO_FLAG,
    day_flag_gone,
    flag_gone,
    flag_set,
)
from sessions.calendar.domain.red_flag_column import red_flag_lifted, red_flags_said
from sessions.calendar.domain.session_columns import closed, kind_columns, plain
from sessions.calendar.domain.session_state import SessionStatus


def _place(
    event: events.SessionBooked | events.SessionMoved, meta: RecordedEvent
) -> dict[str, Any]:
    return {
        "evaluated_at": meta.recorded_at,
        "practitioner_id": event.practitioner_id,
        "credential": event.credential,
        "facility_id": event.facility_id,
        "room_id": event.room_id,
        "starts_at": event.starts_at,
        "ends_at": event.ends_at,
        "zone": event.zone,
        "local_date": event.local_date,
        "local_end_date": last_local_day(event.ends_at, event.zone),
        "overruled": event.overruled,
        "planned_mode": event.planned_mode,
        "mode": event.planned_mode,
        "widest_mode": event.planned_mode,
        "warnings": plain(event.warnings),
        "hands_on": (extent := _planned_extent(event)),
        "widest_hands_on": extent,
        "closed": closed(event.permissions),
        "reasons": plain(event.permissions.reasons),
        "exception_id": event.exception_id,
        **NO_FLAG,
        "flagged_at": None,
        "before_day_flag": None,
    }


NOT_CONFIRMED: dict[str, Any] = {"confirmed_at": None, "confirmed_by": "", "confirmed_how": ""}


def _planned_extent(event: events.SessionBooked | events.SessionMoved) -> HandsOnExtent:
    if event.planned_mode is not Mode.HANDS_ON:
        return HandsOnExtent.NOTHING
    return event.permissions.planned_extent


SESSION_ROWS = Projection("client_sessions.Session", watches=(events,), version=3)


@SESSION_ROWS.on(events.SessionBooked)
def booked(rows: ProjectedRows, event: events.SessionBooked, meta: RecordedEvent) -> None:
    fresh = {
        "requested_mode": event.requested_mode or "",
        "purpose": event.purpose,
        "late_entry": event.late_entry,
        "entered_elsewhere": event.late_entry
        and any(one.code == terms.PRACTITIONER_ELSEWHERE for one in event.warnings),
        "overlaps": [str(one) for one in event.overlaps],
        "status": SessionStatus.BOOKED,
        "series_id": event.series_id,
        "class_id": event.class_id,
        **kind_columns(event.kind),
    }
    rows.put(event.session_id, {**_place(event, meta), **NOT_CONFIRMED, **fresh})


@SESSION_ROWS.on(events.SessionMoved)
def moved(rows: ProjectedRows, event: events.SessionMoved, meta: RecordedEvent) -> None:
    row = rows.get(event.session_id) or {}
    asked = event.requested_mode
    changes: dict[str, Any] = {"requested_mode": asked} if asked else {}
    if any(row.get(one) != getattr(event, one) for one in ("starts_at", "facility_id")):
        changes |= NOT_CONFIRMED  # The client said that they come at another time or place.
    if event.alone:
        changes["moved_alone"] = True
    if event.with_class:
        changes["class_changed_at"] = meta.recorded_at
    changes["first_mode"] = "" if event.at_first is None else event.at_first.mode
    rows.change(event.session_id, **_place(event, meta), **changes)


@SESSION_ROWS.on(events.SessionConfirmed)
def confirmed(rows: ProjectedRows, event: events.SessionConfirmed, meta: RecordedEvent) -> None:
    rows.change(
        event.session_id,
        confirmed_at=meta.occurred_at,
        confirmed_by=event.by,
        confirmed_how=event.how,
    )


@SESSION_ROWS.on(events.SessionConfirmationTakenBack)
def confirmation_taken_back(
    rows: ProjectedRows, event: events.SessionConfirmationTakenBack, meta: RecordedEvent
) -> None:
    rows.change(event.session_id, **NOT_CONFIRMED)


@SESSION_ROWS.on(events.SessionCancelled)
def cancelled(rows: ProjectedRows, event: events.SessionCancelled, meta: RecordedEvent) -> None:
    rows.change(
        event.session_id,
        status=SessionStatus.CANCELLED,
        cancelled_by=event.by,
        notice_minutes=event.notice_minutes,
        ended_reason=event.reason,
        cancelled_alone=event.alone,
    )
    if event.with_class:
        rows.change(event.session_id, class_changed_at=meta.recorded_at)


@SESSION_ROWS.on(events.SessionMarkedNoShow)
def marked_no_show(
    rows: ProjectedRows, event: events.SessionMarkedNoShow, meta: RecordedEvent
) -> None:
    rows.change(event.session_id, status=SessionStatus.NO_SHOW, ended_reason=event.reason)


@SESSION_ROWS.on(events.SessionArrived)
def arrived(rows: ProjectedRows, event: events.SessionArrived, meta: RecordedEvent) -> None:
    row = rows.get(event.session_id)
    if row is None:
        return
    rows.change(
        event.session_id,
        status=SessionStatus.ARRIVED,
        arrived_at=row.get("arrived_at") or meta.occurred_at,
    )
    if event.answers.hands_on_today is not terms.HandsOnToday.UNANSWERED:
        rows.change(event.session_id, hands_on_today=event.answers.hands_on_today)
    red_flags_said(rows, event, meta)
    _judged(rows, event.session_id, event.permissions, meta)


@SESSION_ROWS.on(events.SessionOpened)
def opened(rows: ProjectedRows, event: events.SessionOpened, meta: RecordedEvent) -> None:
    rows.change(event.session_id, opened_at=meta.occurred_at)
    _judged(rows, event.session_id, event.permissions, meta)


@SESSION_ROWS.on(events.RedFlagCleared, events.ArrivalWordsReviewed)
def looked_at(
    rows: ProjectedRows,
    event: events.RedFlagCleared | events.ArrivalWordsReviewed,
    meta: RecordedEvent,
) -> None:
    if isinstance(event, events.RedFlagCleared):
        red_flag_lifted(rows, event, meta)
    else:
        red_flags_said(rows, event, meta)
    _judged(rows, event.session_id, event.permissions, meta)


@SESSION_ROWS.on(events.SessionFlagged)
def flagged(rows: ProjectedRows, event: events.SessionFlagged, meta: RecordedEvent) -> None:
    row = rows.get(event.session_id)
    if row is not None:
        rows.change(event.session_id, **flag_set(row, event, meta.recorded_at))


@SESSION_ROWS.on(events.SessionDayFlagEnded)
def day_flag_ended(
    rows: ProjectedRows, event: events.SessionDayFlagEnded, meta: RecordedEvent
) -> None:
    row = rows.get(event.session_id)
    if row is not None:
        rows.change(event.session_id, **day_flag_gone(row))


@SESSION_ROWS.on(events.SessionFlagEnded)
def flag_ended(rows: ProjectedRows, event: events.SessionFlagEnded, meta: RecordedEvent) -> None:
    row = rows.get(event.session_id)
    if row is not None:
        rows.change(event.session_id, **flag_gone(row, event))


@SESSION_ROWS.on(events.SessionStopped)
def stopped(rows: ProjectedRows, event: events.SessionStopped, meta: RecordedEvent) -> None:
    row = rows.get(event.session_id)
    if row is not None:
        before = row.get("stopped_at_minute")
        minute = event.minute if before is None else min(before, event.minute)
        rows.change(event.session_id, stopped_at_minute=minute)


@SESSION_ROWS.on(events.SessionCompleted)
def completed(rows: ProjectedRows, event: events.SessionCompleted, meta: RecordedEvent) -> None:
    rows.change(event.session_id, status=SessionStatus.COMPLETED, note_id=event.note_id)


@SESSION_ROWS.on(events.SessionCompletionTakenBack)
def completion_taken_back(
    rows: ProjectedRows, event: events.SessionCompletionTakenBack, meta: RecordedEvent
) -> None:
    rows.change(event.session_id, status=SessionStatus.ARRIVED, note_id=None)


@SESSION_ROWS.on(events.SessionStatusCorrected)
def status_corrected(
    rows: ProjectedRows, event: events.SessionStatusCorrected, meta: RecordedEvent
) -> None:
    _day_taken_back(rows, event.session_id)
    rows.change(
        event.session_id,
        status=SessionStatus(event.now.value),
        cancelled_by=event.by or "",
        notice_minutes=event.notice_minutes,
        ended_reason=event.cause,
    )
    if event.now is not terms.CorrectedStatus.CANCELLED:
        rows.change(event.session_id, cancelled_alone=False)
    if event.permissions is not None:
        rows.change(
            event.session_id,
            reasons=plain(event.permissions.reasons),
            evaluated_at=meta.recorded_at,
        )


@SESSION_ROWS.on(events.SessionEnteredInError)
def entered_in_error(
    rows: ProjectedRows, event: events.SessionEnteredInError, meta: RecordedEvent
) -> None:
    _day_taken_back(rows, event.session_id)
    rows.change(event.session_id, status=SessionStatus.ENTERED_IN_ERROR, ended_reason=event.reason)


def _day_taken_back(rows: ProjectedRows, session_id: UUID) -> None:
    row = rows.get(session_id)
    if row is None:
        return
    rows.change(
        session_id,
        arrived_at=None,
        opened_at=None,
        stopped_at_minute=None,
        hands_on_today=terms.HandsOnToday.UNANSWERED,
        mode=row["widest_mode"],
        hands_on=row["widest_hands_on"],
        red_flags=[],
    )
    if row["before_day_flag"]:
        widest = {"mode": row["widest_mode"], "hands_on": row["widest_hands_on"]}
        rows.change(session_id, before_day_flag={**row["before_day_flag"], **widest})


def _judged(
    rows: ProjectedRows,
    session_id: UUID,
    permissions: terms.PermissionsSnapshot | None,
    meta: RecordedEvent,
) -> None:
    """What the answers allow, bounded by the plan and its flag: never by earlier answers."""
    row = rows.get(session_id)
    if row is None or permissions is None:
        return
    judged = {
        "mode": narrower(Mode(row["widest_mode"]), permissions.mode).value,
        "hands_on": least_extent(HandsOnExtent(row["widest_hands_on"]), permissions.extent).value,
        "closed": closed(permissions),
    }
    rows.change(
        session_id,
        **judged,
        reasons=plain(permissions.reasons),
        evaluated_at=meta.recorded_at,
    )
    if row["before_day_flag"]:
        rows.change(session_id, before_day_flag={**row["before_day_flag"], **judged})
