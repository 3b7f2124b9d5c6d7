"""Commands of the day itself: arrived, absent, opened, stopped. One function each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import msgspec

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.health.domain.terms import RedFlag
from clients.permissions.domain.results import SessionPermissions
from practice.core.decisions import Context, Decided, States
from practice.core.reasons import Reason, Rejected
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.domain.assessment import Assessment
from sessions.assessment.domain.standing_signs import signs_raised, standing_signs, with_raised
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.places import place_of_session
from sessions.booking.domain.attendance import (
    decide_arrive,
    decide_no_show,
    decide_open,
    decide_stop,
    takes_back_no_show,
)
from sessions.booking.domain.commands import MarkNoShow, RecordArrival, StopSession
from sessions.booking.domain.corrections import back_at_booked
from sessions.booking.domain.opening_warnings import opening_warnings
from sessions.booking.selectors.extensions import kept_with_session
from sessions.booking.services.corrections import correct_session
from sessions.booking.services.sessions import SLICES, SessionCommandResult
from sessions.calendar.domain.session_state import CalendarState
from sessions.calendar.domain.signs import merged_answers
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import calendar_settings
from sessions.calendar.selectors.overlaps import sessions_near, taken_times
from sessions.calendar.selectors.sessions import session_get

RED_FLAG_STANDS = Reason(
    code="red_flag_stands",
    text="A red flag that was answered before stands, whatever is answered now: a practitioner"
    " who may evaluate looks and clears it with what was found.",
    source="practice policy: red flags",
)


def session_arrive(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any]
) -> tuple[SessionCommandResult, SessionPermissions]:
    """Take the arrival ``answers``, ``occurred_at`` if they are entered later. A fact
    that may narrow: never refused as stale. With a ``reason`` a no-show is taken back before,
    as its correction would: all of it is written or nothing."""
    row = session_get(uow.actor, session_id)
    arrival = RecordArrival(session_id=row.id, **command)
    slices = (*CLIENT_FACTS, CALENDAR)
    known = uow.states(row.client_id, slices)
    if takes_back_no_show(known[CALENDAR].session(row.id), arrival):
        correct_session(uow, row, back_at_booked(arrival))
        known = uow.states(row.client_id, slices)
    assessor = SessionAssessor(row.client_id, client_facts(known))
    answered = _answered(known[CALENDAR], arrival, assessor)
    evaluated = answered.case.evaluated()
    permissions, settings = answered.case.snapshot(evaluated), calendar_settings()

    def decide(states: States, ctx: Context) -> Decided:
        return decide_arrive(
            states[CALENDAR],
            arrival,
            permissions,
            settings,
            ctx,
            red_flags=answered.red_flags,
            words=answered.words,
        )

    outcome = uow.execute(row.client_id, SLICES, decide)
    warnings = [*evaluated.warnings, *answered.warnings]
    return SessionCommandResult(row.id, row.client_id, outcome, warnings), evaluated


def session_mark_no_show(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any]
) -> SessionCommandResult:
    """Record that the client did not come; ``reason``: what is known, if anything."""
    row = session_get(uow.actor, session_id)
    no_show = MarkNoShow(session_id=row.id, **command)
    outcome = uow.execute(
        row.client_id,
        SLICES,
        lambda states, ctx: decide_no_show(states[CALENDAR], no_show, ctx),
    )
    return SessionCommandResult(row.id, row.client_id, outcome, kept_with_session(row.id))


def session_open(uow: UnitOfWork, *, session_id: UUID) -> SessionCommandResult:
    """The session's own practitioner opens it and is shown what is permitted, by the day's
    answers: a red flag since in another session closes this one too. Warns where it is outside
    its booked time or shares time with another session of its people."""
    row = session_get(uow.actor, session_id)
    practitioner_id = own_session(uow, row)
    states = uow.states(row.client_id, (*CLIENT_FACTS, CALENDAR))
    session = states[CALENDAR].session(row.id)
    case = SessionAssessor(row.client_id, client_facts(states)).now(session, states[CALENDAR])
    session_permissions = case.evaluated()
    permissions = case.snapshot(session_permissions)
    outcome = uow.execute(
        row.client_id,
        SLICES,
        lambda states, _: decide_open(states[CALENDAR], row.id, practitioner_id, permissions),
    )
    near = sessions_near(row.client_id, practitioner_id, row.id, uow.now, session.ends_at)
    warnings = opening_warnings(session, taken_times(near, row.client_id), uow.now)
    return SessionCommandResult(
        row.id, row.client_id, outcome, [*session_permissions.warnings, *warnings]
    )


def session_stop(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any]
) -> SessionCommandResult:
    """Record that hands-on work was stopped, as in StopSession. Never refused as stale."""
    row = session_get(uow.actor, session_id)
    stop, settings = StopSession(session_id=row.id, **command), calendar_settings()
    outcome = uow.execute(
        row.client_id,
        SLICES,
        lambda states, ctx: decide_stop(states[CALENDAR], stop, settings, ctx),
    )
    return SessionCommandResult(row.id, row.client_id, outcome)


def own_session(uow: UnitOfWork, row: Session) -> UUID:
    """The practitioner who asks, if it is theirs. Raises Rejected 403 otherwise."""
    if uow.actor.practitioner_id is None or uow.actor.practitioner_id != row.practitioner_id:
        raise Rejected(
            "not_your_session",
            "Only the practitioner of the session does this. Move the session to whoever gave it.",
            status=403,
        )
    return row.practitioner_id


@dataclass(frozen=True)
class _Answered:
    """Answers given on arrival: what they raise, and the session ready to be evaluated."""

    case: Assessment
    red_flags: tuple[RedFlag, ...]
    words: str
    warnings: list[Reason]


def _answered(
    calendar: CalendarState, arrival: RecordArrival, assessor: SessionAssessor
) -> _Answered:
    """The session by all of its answers, the later over the earlier, and by what stands."""
    session, given = calendar.session(arrival.session_id), arrival.answers
    merged = merged_answers(session.answers, given)
    # The usual pain that was named before counts for the pain that is named now.
    alone = msgspec.structs.replace(given, usual_pain=merged.usual_pain)
    in_given, in_merged = assessor.red_flags(alone), assessor.red_flags(merged)
    raised = signs_raised(session, given, in_given, in_merged)
    words = assessor.words(given)
    before = standing_signs(calendar.sessions.values(), session.local_date, answered_in=session.id)
    place = place_of_session(session)
    case = assessor.case(
        place,
        session_id=session.id,
        answers=merged,
        stop=session.stop,
        signs=with_raised(before, raised, given.swelling or (), words),
    )
    unsaid = before.flags - in_given
    return _Answered(case, raised, words, [RED_FLAG_STANDS] if unsaid else [])
