"""Commands that set a slip of the desk right. One function each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from practice.people_and_places.locks import PlaceLocks
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.places import AssessmentPlace
from sessions.booking.domain.commands import Slot
from sessions.booking.domain.corrections import (
    MOVE_THAT_FIRST,
    CorrectionFacts,
    CorrectSession,
    EnterSessionInError,
    decide_correct,
    decide_enter_in_error,
)
from sessions.booking.selectors.extensions import kept_with_session
from sessions.booking.services.conflicts import conflicts_refused, find_conflicts, named_conflicts
from sessions.booking.services.sessions import SLICES, SessionCommandResult, locked_session
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.models import Session
from sessions.calendar.selectors.classes import places_of_class
from sessions.measurements.domain.follow_up import warnings_from


def session_correct(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> SessionCommandResult:
    """Set right what a session was marked as, as in CorrectSession."""
    row = locked_session(uow, session_id, if_match)
    outcome = correct_session(uow, row, CorrectSession(session_id=row.id, **command))
    return SessionCommandResult(row.id, row.client_id, outcome, kept_with_session(row.id))


def correct_session(uow: UnitOfWork, row: Session, correction: CorrectSession) -> Outcome:
    """The same of a session whose client is locked; locks its practitioner and its room."""
    session, facts = _facts(uow, row)
    with conflicts_refused(_slot(session), row.id, MOVE_THAT_FIRST):
        return uow.execute(
            row.client_id,
            SLICES,
            lambda states, ctx: decide_correct(states[CALENDAR], correction, facts, ctx),
        )


def session_enter_in_error(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> SessionCommandResult:
    """Enter a session in error, and with it what was written and measured in it; ``reason``:
    why. Warns of what then waits for a person, a draft among it."""
    row = locked_session(uow, session_id, if_match)
    _, facts = _facts(uow, row)
    entry = EnterSessionInError(session_id=row.id, **command)
    outcome = uow.execute(
        row.client_id,
        SLICES,
        lambda states, ctx: decide_enter_in_error(states[CALENDAR], entry, facts, ctx),
    )
    warnings = [*warnings_from(outcome.events), *kept_with_session(row.id)]
    return SessionCommandResult(row.id, row.client_id, outcome, warnings)


def _facts(uow: UnitOfWork, row: Session) -> tuple[SessionState, CorrectionFacts]:
    """The session and what is found about it, under the locks on its practitioner and room."""
    uow.lock(places=PlaceLocks([row.practitioner_id], [row.room_id]))
    states = uow.states(row.client_id, (*CLIENT_FACTS, CALENDAR))
    session = states[CALENDAR].session(row.id)
    assessor = SessionAssessor(row.client_id, client_facts(states))
    place = AssessmentPlace(
        session.practitioner_id,
        session.facility_id,
        session.local_date,
        to_be_held=session.ends_at > uow.now,
    )
    case = assessor.case(place, session_id=session.id)
    who = uow.actor.practitioner_id
    credential = assessor.person(who).credential if who else None
    return session, CorrectionFacts(
        permissions=case.snapshot(case.planned(), provisional=True),
        conflicts=named_conflicts(uow.actor, find_conflicts(row.client_id, _slot(session), row.id)),
        class_places=places_of_class(session.class_id, row.id),
        may_evaluate=credential in assessor.settings.evaluating_credentials,
    )


def _slot(session: SessionState) -> Slot:
    return Slot(
        practitioner_id=session.practitioner_id,
        credential=session.credential,
        facility_id=session.facility_id,
        room_id=session.room_id,
        starts_at=session.starts_at,
        ends_at=session.ends_at,
        zone=session.zone,
        class_id=session.class_id,
    )
