"""The calendar slice: every session of one client and where it stands."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import Any
from uuid import UUID

from clients.health.domain.terms import RedFlag
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from sessions.calendar.domain import events, terms
from sessions.calendar.domain.place_flags import over
from sessions.calendar.domain.session_state import (
    CalendarState,
    Cancellation,
    Confirmation,
    SessionFlag,
    SessionState,
    SessionStatus,
    SessionStop,
)
from sessions.calendar.domain.signs import RaisedSign, SaidWords, cleared, merged_answers, reviewed

CalendarBuilder = dict[UUID, SessionState]


def _freeze(builder: CalendarBuilder) -> CalendarState:
    return CalendarState(MappingProxyType(dict(builder)))


CALENDAR: Slice[CalendarBuilder, CalendarState] = Slice(
    "calendar", initial=dict, freeze=_freeze, watches=(events,)
)


def _change(builder: CalendarBuilder, session_id: UUID, **changes: Any) -> None:
    if (session := builder.get(session_id)) is not None:
        builder[session_id] = replace(session, **changes)


@CALENDAR.on(events.SessionBooked)
def booked(builder: CalendarBuilder, event: events.SessionBooked, meta: RecordedEvent) -> None:
    builder[event.session_id] = SessionState(
        id=event.session_id,
        practitioner_id=event.practitioner_id,
        credential=event.credential,
        facility_id=event.facility_id,
        room_id=event.room_id,
        starts_at=event.starts_at,
        ends_at=event.ends_at,
        zone=event.zone,
        local_date=event.local_date,
        purpose=event.purpose,
        requested_mode=event.requested_mode,
        planned_mode=event.planned_mode,
        plan=event.permissions,
        permissions=event.permissions,
        exception_id=event.exception_id,
        late_entry=event.late_entry,
        series_id=event.series_id,
        class_id=event.class_id,
        kind=event.kind,
        overruled=event.overruled,
    )


@CALENDAR.on(events.SessionMoved)
def moved(builder: CalendarBuilder, event: events.SessionMoved, meta: RecordedEvent) -> None:
    if (session := builder.get(event.session_id)) is not None:
        builder[session.id] = replace(
            session,
            practitioner_id=event.practitioner_id,
            credential=event.credential,
            facility_id=event.facility_id,
            room_id=event.room_id,
            starts_at=event.starts_at,
            ends_at=event.ends_at,
            zone=event.zone,
            local_date=event.local_date,
            requested_mode=event.requested_mode or session.requested_mode,
            planned_mode=event.planned_mode,
            plan=event.permissions,
            permissions=event.permissions,
            exception_id=event.exception_id,
            flag=None,
            day_flag=None,
            confirmation=session.confirmation if _same_time(session, event) else None,
            moved_alone=session.moved_alone or event.alone,
            overruled=event.overruled,
            at_first=event.at_first,
        )


def _same_time(session: SessionState, event: events.SessionMoved) -> bool:
    """Whether it stays when and where the client said that they come."""
    return (session.starts_at, session.facility_id) == (event.starts_at, event.facility_id)


@CALENDAR.on(events.SessionConfirmed)
def confirmed(
    builder: CalendarBuilder, event: events.SessionConfirmed, meta: RecordedEvent
) -> None:
    _change(builder, event.session_id, confirmation=Confirmation(event.by, event.how))


@CALENDAR.on(events.SessionConfirmationTakenBack)
def confirmation_taken_back(
    builder: CalendarBuilder, event: events.SessionConfirmationTakenBack, meta: RecordedEvent
) -> None:
    _change(builder, event.session_id, confirmation=None)


@CALENDAR.on(events.SessionCancelled)
def cancelled(
    builder: CalendarBuilder, event: events.SessionCancelled, meta: RecordedEvent
) -> None:
    cancellation = Cancellation(event.by, event.reason, event.notice_minutes)
    status = SessionStatus.CANCELLED
    _change(builder, event.session_id, status=status, cancellation=cancellation)


@CALENDAR.on(events.SessionMarkedNoShow)
def marked_no_show(
    builder: CalendarBuilder, event: events.SessionMarkedNoShow, meta: RecordedEvent
) -> None:
    _change(builder, event.session_id, status=SessionStatus.NO_SHOW, ended_reason=event.reason)


@CALENDAR.on(events.SessionArrived)
def arrived(builder: CalendarBuilder, event: events.SessionArrived, meta: RecordedEvent) -> None:
    if (session := builder.get(event.session_id)) is None:
        return
    answers = merged_answers(session.answers, event.answers)
    raised = tuple(_raised(session, flag, answers, meta) for flag in event.red_flags)
    said = (SaidWords(event.words, meta.occurred_at, session.local_date),) if event.words else ()
    builder[session.id] = replace(
        session,
        status=SessionStatus.ARRIVED,
        answers=answers,
        permissions=event.permissions,
        arrived_at=session.arrived_at or meta.occurred_at,
        answered_at=meta.occurred_at if session.answers is None else meta.recorded_at,
        signs=(*session.signs, *raised),
        words=(*session.words, *said),
    )


def _raised(
    session: SessionState,
    flag: RedFlag,
    answers: terms.SubmittedArrivalAnswers,
    meta: RecordedEvent,
) -> RaisedSign:
    swollen = answers.swelling if flag is RedFlag.NEW_SWELLING else None
    return RaisedSign(
        flag=flag,
        raised_at=meta.occurred_at,
        raised_on=session.local_date,
        swelling=swollen or (),
    )


@CALENDAR.on(events.RedFlagCleared)
def red_flag_cleared(
    builder: CalendarBuilder, event: events.RedFlagCleared, meta: RecordedEvent
) -> None:
    for one in list(builder.values()):
        signs = cleared(one.signs, event.red_flag, meta.occurred_at)
        if signs != one.signs:
            builder[one.id] = replace(one, signs=signs)
    if event.permissions is not None:
        _change(builder, event.session_id, permissions=event.permissions)


@CALENDAR.on(events.ArrivalWordsReviewed)
def words_reviewed(
    builder: CalendarBuilder, event: events.ArrivalWordsReviewed, meta: RecordedEvent
) -> None:
    for one in list(builder.values()):
        words = reviewed(one.words, event.words, meta.occurred_at)
        if words != one.words:
            builder[one.id] = replace(one, words=words)
    if (session := builder.get(event.session_id)) is not None:
        answers = session.answers or terms.SubmittedArrivalAnswers()
        raised = tuple(_raised(session, flag, answers, meta) for flag in event.red_flags)
        builder[session.id] = replace(
            session,
            signs=(*session.signs, *raised),
            permissions=event.permissions or session.permissions,
        )


@CALENDAR.on(events.SessionOpened)
def opened(builder: CalendarBuilder, event: events.SessionOpened, meta: RecordedEvent) -> None:
    _change(builder, event.session_id, opened_at=meta.occurred_at, permissions=event.permissions)


@CALENDAR.on(events.SessionFlagged)
def flagged(builder: CalendarBuilder, event: events.SessionFlagged, meta: RecordedEvent) -> None:
    flag = SessionFlag(event.now, event.reasons, event.cause, event.extent, event.narrowed)
    if event.of_day:
        _change(builder, event.session_id, day_flag=flag)
    elif (session := builder.get(event.session_id)) is not None:
        _change(builder, session.id, flag=over(session.flag, flag))


@CALENDAR.on(events.SessionFlagEnded)
def flag_ended(
    builder: CalendarBuilder, event: events.SessionFlagEnded, meta: RecordedEvent
) -> None:
    _change(builder, event.session_id, flag=None)


@CALENDAR.on(events.SessionDayFlagEnded)
def day_flag_ended(
    builder: CalendarBuilder, event: events.SessionDayFlagEnded, meta: RecordedEvent
) -> None:
    _change(builder, event.session_id, day_flag=None)


@CALENDAR.on(events.SessionStopped)
def stopped(builder: CalendarBuilder, event: events.SessionStopped, meta: RecordedEvent) -> None:
    stop = SessionStop(event.minute, event.everything, event.last_line_id, meta.occurred_at)
    kind = "end_stop" if event.everything else "touch_stop"
    _change(builder, event.session_id, **{kind: stop})


@CALENDAR.on(events.SessionCompleted)
def completed(
    builder: CalendarBuilder, event: events.SessionCompleted, meta: RecordedEvent
) -> None:
    _change(builder, event.session_id, status=SessionStatus.COMPLETED, note_id=event.note_id)


@CALENDAR.on(events.SessionCompletionTakenBack)
def completion_taken_back(
    builder: CalendarBuilder, event: events.SessionCompletionTakenBack, meta: RecordedEvent
) -> None:
    _change(builder, event.session_id, status=SessionStatus.ARRIVED, note_id=None)


@CALENDAR.on(events.SessionStatusCorrected)
def status_corrected(
    builder: CalendarBuilder, event: events.SessionStatusCorrected, meta: RecordedEvent
) -> None:
    if (session := builder.get(event.session_id)) is None:
        return
    cancellation = None
    if event.by is not None and event.notice_minutes is not None:
        cancellation = Cancellation(event.by, event.cause, event.notice_minutes)
    builder[session.id] = replace(
        _day_taken_back(session),
        status=SessionStatus(event.now.value),
        cancellation=cancellation,
        permissions=event.permissions or session.permissions,
    )


@CALENDAR.on(events.SessionEnteredInError)
def entered_in_error(
    builder: CalendarBuilder, event: events.SessionEnteredInError, meta: RecordedEvent
) -> None:
    if (session := builder.get(event.session_id)) is not None:
        status = SessionStatus.ENTERED_IN_ERROR
        builder[session.id] = replace(_day_taken_back(session), status=status)


def _day_taken_back(session: SessionState) -> SessionState:
    """The session without what its day had brought: it was not this client's or not this one."""
    return replace(
        session,
        answers=None,
        arrived_at=None,
        answered_at=None,
        opened_at=None,
        touch_stop=None,
        end_stop=None,
        signs=(),
        words=(),
        ended_reason="",
    )
