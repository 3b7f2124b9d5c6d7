"""Commands of the day itself: arrived, absent, opened, stopped. One function each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.permissions.domain.results import SessionPermissions
from practice.core.decisions import Context, Decided, States
from practice.core.reasons import Rejected
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.selectors.assessor import AssessmentPlace, SessionAssessor
from sessions.booking.domain.attendance import (
    decide_arrive,
    decide_no_show,
    decide_open,
    decide_stop,
)
from sessions.booking.domain.commands import MarkNoShow, RecordArrival, StopSession
from sessions.booking.domain.opening_warnings import opening_warnings
from sessions.booking.services.sessions import SLICES, SessionCommandResult
from sessions.calendar.domain.events import PermissionsSnapshot, SubmittedArrivalAnswers
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import calendar_settings
from sessions.calendar.selectors.overlaps import sessions_near, taken_times
from sessions.calendar.selectors.sessions import session_get


def session_arrive(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any]
) -> tuple[SessionCommandResult, SessionPermissions]:
    """Take the arrival ``answers``, ``occurred_at`` if they are entered later. A fact
    that may narrow: never refused as stale."""
    row = session_get(uow.actor, session_id)
    arrival = RecordArrival(session_id=row.id, **command)
    known = uow.states(row.client_id, (*CLIENT_FACTS, CALENDAR))
    assessor = SessionAssessor(row.client_id, client_facts(known))
    permissions, session_permissions = _evaluated(uow, row, arrival.answers, assessor)
    settings = calendar_settings()

    def decide(states: States, ctx: Context) -> Decided:
        said = assessor.day(states[CALENDAR], row.local_date)
        lifted = said.red_flags - assessor.red_flags(arrival.answers)
        return decide_arrive(states[CALENDAR], arrival, permissions, settings, ctx, lifted=lifted)

    outcome = uow.execute(row.client_id, SLICES, decide)
    return SessionCommandResult(
        row.id, row.client_id, outcome, list(session_permissions.warnings)
    ), session_permissions


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
    return SessionCommandResult(row.id, row.client_id, outcome)


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
    stop = StopSession(session_id=row.id, **command)
    outcome = uow.execute(
        row.client_id,
        SLICES,
        lambda states, ctx: decide_stop(states[CALENDAR], stop, ctx),
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


def _evaluated(
    uow: UnitOfWork, row: Session, answers: SubmittedArrivalAnswers, assessor: SessionAssessor
) -> tuple[PermissionsSnapshot, SessionPermissions]:
    session = uow.states(row.client_id, SLICES)[CALENDAR].session(row.id)
    place = AssessmentPlace(session.practitioner_id, session.facility_id, session.local_date)
    case = assessor.case(place, session_id=session.id, answers=answers, stop=session.stop)
    session_permissions = case.evaluated()
    return case.snapshot(session_permissions), session_permissions
