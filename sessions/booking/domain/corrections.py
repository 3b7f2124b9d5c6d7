"""A slip of the desk is set right by an event with its reason (ruling 50). Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected, invalid
from sessions.booking.domain.attendance import flag_if_narrowed
from sessions.booking.domain.commands import RecordArrival, SchedulingConflict
from sessions.booking.domain.decisions import notice_minutes
from sessions.booking.domain.time_taken import time_taken_error
from sessions.booking.domain.undoing import CORRECTABLE
from sessions.calendar.domain.class_places import ClassPlaces, check_still_there
from sessions.calendar.domain.events import SessionEnteredInError, SessionStatusCorrected
from sessions.calendar.domain.session_state import (
    STATUS_TEXT,
    CalendarState,
    Cancellation,
    SessionState,
    SessionStatus,
)
from sessions.calendar.domain.terms import CancelledBy, CorrectedStatus, PermissionsSnapshot

MOVE_THAT_FIRST = (
    "A correction moves nothing. Move or cancel that session first, or book this client another"
    " time: POST /sessions."
)

BOOK_ANEW = " It stays so; if it was right after all, book it anew: POST /sessions."


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectSession:
    """Set right what a session was marked as. ``reason``: why it is corrected.

    ``by``, ``cause`` and ``told_at`` (when the practice was told; None keeps the notice that
    was recorded) belong to a cancellation and to nothing else.
    """

    session_id: UUID
    status: CorrectedStatus
    reason: str
    by: CancelledBy | None = None
    cause: str = ""
    told_at: datetime | None = None


def back_at_booked(arrival: RecordArrival) -> CorrectSession:
    """The correction that an arrival makes where the client was said not to have come."""
    return CorrectSession(
        session_id=arrival.session_id, status=CorrectedStatus.BOOKED, reason=arrival.reason
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class EnterSessionInError:
    """A session stands where it should not: the wrong client, or it never was."""

    session_id: UUID
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionFacts:
    """What was found under the locks: who holds the time now, and what the session may be.

    ``may_evaluate``: whether whoever corrects may clear a red flag. ``class_places``: of the
    class, for a place in one.
    """

    permissions: PermissionsSnapshot
    conflicts: tuple[SchedulingConflict, ...] = ()
    may_evaluate: bool = False
    class_places: ClassPlaces | None = None


def decide_correct(
    state: CalendarState, command: CorrectSession, facts: CorrectionFacts, ctx: Context
) -> Decided:
    """Set a slip right until the note is signed: arrived, no-show and called off.

    Back at booked the session takes its time again: refused with the clash where that was
    taken since. Nothing narrows unseen: what closed in the meantime flags it.
    """
    session = state.session(command.session_id)
    _check_correctable(session, facts, command.reason)
    cancellation = _cancellation(session, command, ctx)
    if session.status.value == command.status.value and cancellation == session.cancellation:
        raise Rejected(
            "nothing_to_correct",
            f"The session is {STATUS_TEXT[session.status]} already, as it is corrected to.",
            extra={"session_status": session.status.value},
        )
    back = command.status is CorrectedStatus.BOOKED
    if back and facts.class_places is not None:
        check_still_there(facts.class_places)
    if back and facts.conflicts and not session.late_entry:
        raise time_taken_error(facts.conflicts, session.zone, MOVE_THAT_FIRST)
    if command.status is CorrectedStatus.NO_SHOW and ctx.now < session.starts_at:
        raise Rejected("too_early", "The session has not started; it is no no-show yet.")
    corrected = SessionStatusCorrected(
        session_id=session.id,
        was=session.status.value,
        now=command.status,
        reason=command.reason.strip(),
        by=cancellation.by if cancellation else None,
        cause=cancellation.cause if cancellation else "",
        notice_minutes=cancellation.notice_minutes if cancellation else None,
        permissions=facts.permissions if back else None,
    )
    if not back or ctx.now >= session.ends_at:
        return [corrected]
    flags = flag_if_narrowed(session, facts.permissions, "session.status_corrected")
    return [corrected, *flags]


def decide_enter_in_error(
    state: CalendarState, command: EnterSessionInError, facts: CorrectionFacts, ctx: Context
) -> Decided:
    """Take a session out of the lists that should not stand there; the history keeps it.

    A signed one only by the practitioner who signed it: its note stays and earns nothing.
    """
    session = state.session(command.session_id)
    if session.status is SessionStatus.ENTERED_IN_ERROR:
        raise Rejected(
            "nothing_to_correct",
            "The session is entered in error already.",
            extra={"session_status": session.status.value},
        )
    if session.status is SessionStatus.COMPLETED:
        _check_own_note(session, ctx)
    elif session.status is not SessionStatus.BOOKED:
        _check_correctable(session, facts, command.reason, stopped_too=True)
    reason = _reason(command.reason)
    return [SessionEnteredInError(session_id=session.id, was=session.status.value, reason=reason)]


def _check_own_note(session: SessionState, ctx: Context) -> None:
    if ctx.actor.practitioner_id != session.practitioner_id:
        raise Rejected(
            "not_your_session",
            "The note is signed: only the practitioner of the session enters it in error.",
            status=403,
        )


def _check_correctable(
    session: SessionState, facts: CorrectionFacts, reason: str, *, stopped_too: bool = False
) -> None:
    _reason(reason)
    if session.status is SessionStatus.COMPLETED:
        raise Rejected(
            "note_signed",
            "The note is signed: the session is not changed any more. If it should not stand here,"
            " its practitioner enters it in error; what was wrong in it, an addendum says.",
            extra={"session_status": session.status.value},
        )
    if session.status not in CORRECTABLE:
        raise Rejected(
            "nothing_to_correct",
            f"The session is {STATUS_TEXT[session.status]}: there is nothing to set right in it."
            + (BOOK_ANEW if session.status is SessionStatus.ENTERED_IN_ERROR else ""),
            extra={"session_status": session.status.value},
        )
    if session.stops and not stopped_too:
        raise Rejected(
            "session_stopped",
            "The client stopped this session, so somebody was in it. If it was another client,"
            " enter the session in error.",
        )
    said = any(sign.stands() for sign in session.signs) or any(w.waits() for w in session.words)
    if said and not facts.may_evaluate:
        raise Rejected(
            "red_flag_stands",
            "What was answered in this session waits for a practitioner who may evaluate. If it is"
            " a slip, one of them sends this correction; else they look and say what was found:"
            f" POST /sessions/{session.id}/red-flag-clearance, or words-review for free words.",
        )


def _cancellation(
    session: SessionState, command: CorrectSession, ctx: Context
) -> Cancellation | None:
    """The cancellation that stands after the correction; 400 where its parts do not fit."""
    given = {"by": command.by, "cause": command.cause.strip(), "told_at": command.told_at}
    if command.status is not CorrectedStatus.CANCELLED:
        for name, value in given.items():
            if value:
                raise invalid(name, "This belongs to a cancellation: leave it out.")
        return None
    before = session.cancellation
    if command.by is None:
        raise invalid("by", "Say who called it off: client or practice.")
    if not command.cause.strip():
        raise invalid("cause", "Say why it was called off.")
    if command.told_at is None and before is None:
        raise invalid("told_at", "Say when the practice was told: the notice counts from then.")
    if command.told_at is not None and command.told_at > ctx.now:
        raise invalid("told_at", "That time has not come yet.")
    if command.told_at is not None and command.told_at >= session.ends_at:
        raise invalid("told_at", "The session was over by then: it was attended or a no-show.")
    notice = before.notice_minutes if before else 0
    if command.told_at is not None:
        notice = notice_minutes(session, command.told_at)
    return Cancellation(command.by, command.cause.strip(), notice)


def _reason(text: str) -> str:
    if not text.strip():
        raise invalid("reason", "Say why it is corrected.")
    return text.strip()
