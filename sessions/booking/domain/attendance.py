"""The day itself: arrived, absent, opened, stopped. Pure decisions over the calendar slice."""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import UUID

from clients.health.domain.terms import RedFlag
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent, Event
from practice.core.reasons import Rejected, invalid
from practice.core.terms import Mode
from sessions.booking.domain.commands import MarkNoShow, RecordArrival, StopSession
from sessions.booking.domain.undoing import undone_by
from sessions.calendar.domain.events import (
    SessionArrived,
    SessionFlagged,
    SessionMarkedNoShow,
    SessionOpened,
    SessionStopped,
)
from sessions.calendar.domain.narrowing import (
    Narrowing,
    carried_over,
    narrowed_groups,
    narrowed_in,
    narrowing_since,
)
from sessions.calendar.domain.session_state import (
    STATUS_TEXT,
    CalendarState,
    SessionState,
    SessionStatus,
)
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.domain.signs import merged_answers
from sessions.calendar.domain.terms import PermissionsSnapshot


def decide_arrive(
    state: CalendarState,
    command: RecordArrival,
    permissions: PermissionsSnapshot,
    settings: CalendarSettings,
    ctx: Context,
    *,
    red_flags: tuple[RedFlag, ...] = (),
    words: str = "",
) -> Decided:
    """Record that the client came, the answers given now and what they allow.

    Answers may be given again until the note is signed; those that bring nothing new change
    nothing. ``red_flags`` are the signs that they raise, ``words`` the free words that say
    something: both stand until a practitioner who may evaluate has looked.
    """
    session = state.session(command.session_id)
    if session.status not in (SessionStatus.BOOKED, SessionStatus.ARRIVED):
        raise _wrong_status(session, "arrive for")
    at = _not_in_future(command.occurred_at, ctx)
    if session.starts_at - at > timedelta(hours=settings.arrival_hours_before):
        hours = settings.arrival_hours_before
        raise Rejected(
            "too_early", f"Arrival is recorded at most {hours} hours before the session starts."
        )
    known = {line for said in session.words for line in said.text.splitlines()}
    fresh = "\n".join(line for line in words.splitlines() if line not in known)
    same = merged_answers(session.answers, command.answers) == session.answers
    if session.status is SessionStatus.ARRIVED and same and not red_flags and not fresh:
        return []
    arrived = SessionArrived(
        session_id=session.id,
        answers=command.answers,
        red_flags=red_flags,
        words=fresh,
        permissions=permissions,
    )
    return [_with_date(arrived, command.occurred_at)]


def takes_back_no_show(session: SessionState, command: RecordArrival) -> bool:
    """Whether an arrival takes a no-show back first. Raises Rejected 409: for a no-show without
    the reason of it, and for a reason where no no-show stands."""
    reason = command.reason.strip()
    if session.status is not SessionStatus.NO_SHOW:
        if reason:
            raise Rejected(
                "nothing_to_correct",
                f"The session is {STATUS_TEXT[session.status]}: no no-show is taken back. Leave"
                " `reason` out.",
                extra={"session_status": session.status.value},
            )
        return False
    if not reason:
        raise Rejected(
            "session_status",
            "The session is a no-show. If the client came after all, send the arrival with"
            " `reason`, e.g. that they came late: it takes the no-show back.",
            extra={"session_status": session.status.value},
            fields={"reason": "Say why the no-show is taken back."},
        )
    return True


def decide_no_show(state: CalendarState, command: MarkNoShow, ctx: Context) -> Decided:
    """Record that the client did not come; only once the session has started."""
    session = state.session(command.session_id)
    said = command.reason.strip()
    if session.status is SessionStatus.NO_SHOW and said in ("", session.ended_reason):
        return []
    if session.status is not SessionStatus.BOOKED:
        raise _wrong_status(session, "be a no-show for")
    if ctx.now < session.starts_at:
        raise Rejected("too_early", "The session has not started; cancel it instead.")
    no_show = SessionMarkedNoShow(session_id=session.id, reason=said)
    return [DatedEvent(no_show, session.starts_at)]


def decide_open(
    state: CalendarState, session_id: UUID, practitioner_id: UUID, permissions: PermissionsSnapshot
) -> Decided:
    """The practitioner opens the session of a client who has arrived; once."""
    session = state.session(session_id)
    if session.status is SessionStatus.BOOKED:
        raise Rejected("not_arrived", "Take the arrival answers before opening the session.")
    if session.status is not SessionStatus.ARRIVED:
        raise _wrong_status(session, "open")
    if session.opened_at is not None:
        return []
    return [
        SessionOpened(
            session_id=session.id, practitioner_id=practitioner_id, permissions=permissions
        )
    ]


def decide_stop(
    state: CalendarState, command: StopSession, settings: CalendarSettings, ctx: Context
) -> Decided:
    """Record that hands-on work was stopped. A fact that narrows: never refused as stale.

    Touch may stop first and the session later. Of each only the earliest minute counts; one
    that brings nothing is refused, naming what stands (409 ``already_stopped``), but for the
    same one again. A session may run over its booked end, as far as it has by now.
    """
    session = state.session(command.session_id)
    if session.status not in (SessionStatus.ARRIVED, SessionStatus.COMPLETED):
        raise _wrong_status(session, "be stopped in")
    longest = _longest_minute(session, settings, ctx.now)
    if not 0 <= command.minute <= longest:
        raise invalid("minute", f"The minute counts from the start: 0 to {longest}.")
    for stop in session.stops:
        if stop.minute > command.minute or (command.everything and not stop.everything):
            continue
        if (stop.minute, stop.everything) == (command.minute, command.everything):
            return []
        what = "The session was stopped" if stop.everything else "Touch was stopped"
        raise Rejected(
            "already_stopped",
            f"{what} at minute {stop.minute} already; what came after it is evaluated by that.",
            extra={"minute": stop.minute, "everything": stop.everything},
        )
    stopped = SessionStopped(
        session_id=session.id,
        minute=command.minute,
        everything=command.everything,
        last_line_id=command.last_line_id,
        reason=command.reason.strip(),
    )
    _not_in_future(command.occurred_at, ctx)
    return [_with_date(stopped, command.occurred_at)]


def flag_if_narrowed(
    session: SessionState, permissions: PermissionsSnapshot, cause: str, *, of_day: bool = False
) -> list[SessionFlagged]:
    """The flag of a session of which anything is narrower now; empty where nothing is.

    Anything: of the client's programme or of what was planned, by stretch, technique and side.
    Nothing turns hands-on by itself: a wider judgement leaves plan and flag as they are.
    ``of_day``: by answers on arrival.
    """
    stood = (session.day_flag if of_day else None) or session.flag
    before = narrowed_in(stood.narrowed, stood.reasons) if stood else {}
    standing = stood.now if stood else session.planned_mode
    found = narrowing_since(session.plan, session.planned_mode, permissions, before, standing)
    return _flags(session, found, permissions, cause, standing, of_day=of_day)


def flag_kept(
    session: SessionState, permissions: PermissionsSnapshot, planned_mode: Mode
) -> list[SessionFlagged]:
    """The flag that stays when a session is moved and nobody asks for more than it had become:
    a move alone turns no stretch hands-on again."""
    if session.flag is None:
        return []
    before = narrowed_in(session.flag.narrowed, session.flag.reasons)
    found = carried_over(permissions, planned_mode, before)
    return _flags(session, found, permissions, session.flag.cause, planned_mode, of_day=False)


def _flags(
    session: SessionState,
    found: Narrowing | None,
    permissions: PermissionsSnapshot,
    cause: str,
    was: Mode,
    *,
    of_day: bool,
) -> list[SessionFlagged]:
    if found is None:
        return []
    groups, reasons = narrowed_groups(
        found.narrowed, permissions.reasons if found.mode is not Mode.HANDS_ON else ()
    )
    return [
        SessionFlagged(
            session_id=session.id,
            was=was,
            now=found.mode,
            reasons=reasons,
            cause=cause,
            extent=found.extent,
            narrowed=groups,
            of_day=of_day,
            settings=permissions.settings,
            limit_rows=permissions.limit_rows,
        )
    ]


def _longest_minute(session: SessionState, settings: CalendarSettings, now: datetime) -> int:
    """The last minute in which a session can have been stopped: its booked end, or as far as it
    has run over by now, at most by the practice's longest overrun."""
    started = min(session.opened_at or session.starts_at, session.starts_at)
    elapsed = (now - started) // timedelta(minutes=1)
    booked = (session.ends_at - started) // timedelta(minutes=1)
    return max(booked, min(elapsed, booked + settings.longest_overrun_minutes))


def _with_date(event: Event, at: datetime | None) -> Event | DatedEvent:
    return event if at is None else DatedEvent(event, at)


def _not_in_future(at: datetime | None, ctx: Context) -> datetime:
    if at is not None and at > ctx.now:
        raise invalid("occurred_at", "That time has not come yet.")
    return at or ctx.now


def _wrong_status(session: SessionState, what: str) -> Rejected:
    return Rejected(
        "session_status",
        f"The session is {STATUS_TEXT[session.status]}: the client cannot {what} it."
        f"{undone_by(session)}",
        extra={"session_status": session.status.value},
    )
