"""Taking, moving and giving back a time: pure decisions over the calendar slice."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from clients.permissions.domain.results import narrower
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent
from practice.core.reasons import Reason, Rejected, invalid
from sessions.booking.domain.commands import (
    Attendance,
    BookingFacts,
    BookSession,
    CancelSession,
    EnterLateSession,
    MoveSession,
    PreferenceFinding,
    Slot,
)
from sessions.booking.domain.hours import check_open, overruled_warnings
from sessions.booking.domain.late_entry import contradicted
from sessions.booking.domain.narrowed_by_move import flags_of_move, narrowed_by_move
from sessions.booking.domain.time_taken import time_taken_error
from sessions.booking.domain.undoing import check_same_cancellation, undone_by
from sessions.booking.domain.what_is_asked import (
    check_length,
    check_not_past,
    check_possible,
    check_purpose,
    check_requested_mode,
    check_took_place,
    nothing_to_move,
)
from sessions.calendar.domain.class_places import (
    check_late_place,
    check_place,
    place_of_a_class,
)
from sessions.calendar.domain.events import (
    SessionArrived,
    SessionBooked,
    SessionCancelled,
    SessionMarkedNoShow,
    SessionMoved,
)
from sessions.calendar.domain.first_plan import kept_by_move
from sessions.calendar.domain.place_flags import away
from sessions.calendar.domain.session_state import (
    STATUS_TEXT,
    CalendarState,
    SessionState,
    SessionStatus,
)
from sessions.calendar.domain.settings import CalendarSettings


def decide_book(
    state: CalendarState, command: BookSession, facts: BookingFacts, ctx: Context
) -> Decided:
    """Book a session in a free time: as asked, or, where nothing is asked, as permitted.

    Refuses with 400 a time in the past or a length outside the practice's limits, with 409 a
    time already taken, a closed place or an absent practitioner that nobody overrules, a
    practitioner against the client's preference, an evaluation by a credential that does not
    evaluate, or hands-on where nothing can be.
    """
    slot, facts = facts.slot, facts.of_purpose(command.purpose)
    check_requested_mode(command.requested_mode)
    check_length(slot, facts.settings)
    check_not_past(slot, facts.settings, ctx)
    check_open(facts, command.overrule)
    if facts.class_places is not None:
        check_place(facts.class_places, command.requested_mode, facts.permissions)
    _check_free(facts)
    _check_preference(facts.preference)
    check_purpose(command.purpose, facts)
    check_possible(command.requested_mode, facts.permissions)
    overruled = command.overrule.strip() if facts.closed else ""
    return [_booking(facts, command, overruled=overruled)]


def decide_book_late(
    state: CalendarState, command: EnterLateSession, facts: BookingFacts, ctx: Context
) -> Decided:
    """Enter a session that took place already, dated when it did.

    What happened is never refused: an overlap is kept and named, and what it contradicts is
    warned of. Only times that cannot be are 400.
    """
    slot = facts.slot
    check_requested_mode(command.requested_mode)
    check_length(slot, facts.settings)
    check_took_place(slot, facts.settings, ctx)
    if facts.class_places is not None:
        check_late_place(facts.class_places, command.requested_mode)
    booked = _booking(facts, command)
    events = [DatedEvent(booked, slot.starts_at)]
    if command.attendance is Attendance.NO_SHOW:
        no_show = SessionMarkedNoShow(session_id=booked.session_id)
        return [*events, DatedEvent(no_show, slot.starts_at)]
    arrived = SessionArrived(
        session_id=booked.session_id,
        answers=command.answers,
        red_flags=facts.red_flags,
        words=facts.words,
        permissions=facts.permissions,
    )
    return [*events, DatedEvent(arrived, slot.starts_at)]


def decide_move(
    state: CalendarState, command: MoveSession, facts: BookingFacts, ctx: Context
) -> Decided:
    """Move a booked session, keeping its identity. Its flag ends where a person plans it anew
    (``requested_mode``), else where nothing that had narrowed would widen: then what it was at
    first goes with it. A move that narrows it sets one; 409 ``nothing_to_move`` for no change."""
    session = state.session(command.session_id)
    _check_status(session, (SessionStatus.BOOKED,), "moved")
    slot, facts = facts.slot, facts.of_purpose(session.purpose)
    if facts.class_places is not None and not command.with_class:
        if not _same_place(session, slot):
            raise place_of_a_class()
        check_place(facts.class_places, command.requested_mode, facts.permissions)
    check_length(slot, facts.settings)
    if slot.starts_at != session.starts_at:
        check_not_past(slot, facts.settings, ctx)
    overruled = session.overruled
    if not _same_time(session, slot):
        check_open(facts, command.overrule)
        overruled = command.overrule.strip() if facts.closed else ""
    _check_free(facts)
    _check_preference(facts.preference)
    if not command.reason.strip():
        raise invalid("reason", "Say why the session is moved or planned anew.")
    check_requested_mode(command.requested_mode)
    check_purpose(session.purpose, facts)
    check_possible(command.requested_mode, facts.permissions)
    session = replace(away(session), day_flag=None)  # The day's answers are judged again there.
    mode = narrower(command.requested_mode or session.mode, facts.permissions.mode)
    if command.requested_mode is None and _same_place(session, slot) and mode is session.mode:
        raise nothing_to_move()
    return [
        SessionMoved(
            session_id=session.id,
            practitioner_id=slot.practitioner_id,
            credential=slot.credential,
            facility_id=slot.facility_id,
            room_id=slot.room_id,
            starts_at=slot.starts_at,
            ends_at=slot.ends_at,
            zone=slot.zone,
            local_date=slot.local_start.date(),
            requested_mode=command.requested_mode,
            planned_mode=mode,
            permissions=facts.permissions,
            exception_id=facts.preference.exception_id,
            warnings=(
                *facts.warnings,
                *overruled_warnings(facts, overruled),
                *narrowed_by_move(session, mode, facts.permissions, command.requested_mode),
            ),
            overruled=overruled,
            reason=command.reason.strip(),
            alone=_alone(session, command) and not _same_place(session, slot),
            with_class=command.with_class,
            at_first=kept_by_move(session, mode, facts.permissions, command.requested_mode),
        ),
        *flags_of_move(session, mode, facts.permissions, command.requested_mode),
    ]


def decide_cancel(state: CalendarState, command: CancelSession, ctx: Context) -> Decided:
    """Call a booked session off. The same again changes nothing; by another or for another
    cause it is refused, naming what stands (409 ``already_cancelled``): that is a correction."""
    session = state.session(command.session_id)
    if not command.reason.strip():
        raise invalid("reason", "Say why the session is cancelled.")
    if session.cancellation is not None:
        check_same_cancellation(session.id, session.cancellation, command)
        return []
    _check_status(session, (SessionStatus.BOOKED,), "cancelled")
    told_at = command.occurred_at or ctx.now
    if told_at > ctx.now:
        raise invalid("occurred_at", "That time has not come yet.")
    if told_at >= session.ends_at:
        raise Rejected(
            "session_over",
            "The session's time is over: record that the client attended or did not show.",
        )
    cancelled = SessionCancelled(
        session_id=session.id,
        by=command.by,
        reason=command.reason.strip(),
        notice_minutes=notice_minutes(session, told_at),
        alone=_alone(session, command),
        with_class=command.with_class,
    )
    return [cancelled if command.occurred_at is None else DatedEvent(cancelled, told_at)]


def notice_minutes(session: SessionState, told_at: datetime) -> int:
    """How many minutes before its start the practice was told; 0 once it has started."""
    return max((session.starts_at - told_at) // timedelta(minutes=1), 0)


def late_cancellation_warnings(notice_minutes: int, settings: CalendarSettings) -> list[Reason]:
    """A warning where a cancellation came later than the practice's rule asks for."""
    if notice_minutes >= settings.late_cancellation_hours * 60:
        return []
    hours = settings.late_cancellation_hours
    text = f"Cancelled less than {hours} hours ahead: the practice's late rule applies."
    return [Reason(code="late_cancellation", text=text, source="practice policy")]


def _booking(
    facts: BookingFacts,
    command: BookSession | EnterLateSession,
    *,
    overruled: str = "",
) -> SessionBooked:
    slot = facts.slot
    late_entry = isinstance(command, EnterLateSession)
    more = (
        contradicted(command, facts)
        if isinstance(command, EnterLateSession)
        else overruled_warnings(facts, overruled)
    )
    return SessionBooked(
        session_id=facts.session_id,
        practitioner_id=slot.practitioner_id,
        credential=slot.credential,
        facility_id=slot.facility_id,
        room_id=slot.room_id,
        starts_at=slot.starts_at,
        ends_at=slot.ends_at,
        zone=slot.zone,
        local_date=slot.local_start.date(),
        requested_mode=command.requested_mode,
        purpose=command.purpose,
        planned_mode=narrower(
            command.requested_mode or facts.permissions.mode, facts.permissions.mode
        ),
        permissions=facts.permissions,
        exception_id=facts.preference.exception_id,
        warnings=(*facts.warnings, *more),
        overruled=overruled,
        overlaps=tuple(sorted({conflict.session_id for conflict in facts.conflicts}))
        if late_entry
        else (),
        late_entry=late_entry,
        series_id=facts.series_id,
        class_id=slot.class_id,
        kind=facts.kind,
    )


def _alone(session: SessionState, command: MoveSession | CancelSession) -> bool:
    """Whether a session of a series is changed and its series is not."""
    return session.series_id is not None and not command.with_series


def _same_place(session: SessionState, slot: Slot) -> bool:
    return _same_time(session, slot) and session.room_id == slot.room_id


def _same_time(session: SessionState, slot: Slot) -> bool:
    """Whether it stays when, where and with whom it is: what is closed was known or came since."""
    return (
        session.practitioner_id == slot.practitioner_id
        and session.facility_id == slot.facility_id
        and session.starts_at == slot.starts_at
        and session.ends_at == slot.ends_at
    )


def _check_free(facts: BookingFacts) -> None:
    if facts.conflicts:
        raise time_taken_error(facts.conflicts, facts.slot.zone)


def _check_preference(preference: PreferenceFinding) -> None:
    if preference.against:
        raise Rejected(
            "against_preference",
            "The client prefers another practitioner for all work. Book a preferred one,"
            " or record the exception that the client agreed to.",
            reasons=preference.against,
        )


def _check_status(session: SessionState, fitting: tuple[SessionStatus, ...], done: str) -> None:
    if session.status not in fitting:
        raise Rejected(
            "session_status",
            f"The session is {STATUS_TEXT[session.status]} and cannot be {done}."
            f"{undone_by(session)}",
            extra={"session_status": session.status.value},
        )
