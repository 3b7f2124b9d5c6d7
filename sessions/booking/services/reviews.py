"""Commands that clear red flags and review free words. One function each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.permissions.domain.settings import PermissionSettings
from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.booking.domain.reviews import (
    ClearRedFlag,
    Reviewer,
    ReviewWords,
    decide_clear_red_flag,
    decide_review_words,
)
from sessions.booking.services.sessions import SLICES, SessionCommandResult
from sessions.calendar.domain.session_state import CalendarState, SessionState, SessionStatus
from sessions.calendar.domain.signs import RaisedSign, cleared, reviewed
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_get

Looked = Callable[[SessionState], SessionState]
Decide = Callable[[CalendarState, Reviewer, PermissionSettings, Context], Decided]


def red_flag_clear(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any]
) -> SessionCommandResult:
    """Clear a ``red_flag`` in every session of the client, with what was ``found``."""
    row = session_get(uow.actor, session_id)
    clearing = ClearRedFlag(session_id=row.id, **command)

    def looked(one: SessionState) -> SessionState:
        return replace(one, signs=cleared(one.signs, clearing.red_flag, uow.now))

    return _reviewed(
        uow,
        row,
        looked,
        lambda calendar, reviewer, settings, ctx: decide_clear_red_flag(
            calendar, clearing, reviewer, settings, ctx
        ),
    )


def words_review(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any]
) -> SessionCommandResult:
    """Review the client's own ``words``, with what was ``found`` and ``red_flags`` in them."""
    row = session_get(uow.actor, session_id)
    review = ReviewWords(session_id=row.id, **command)

    def looked(one: SessionState) -> SessionState:
        signs = one.signs
        if one.id == row.id:
            signs = (
                *signs,
                *(RaisedSign(flag, uow.now, one.local_date) for flag in review.red_flags),
            )
        return replace(one, signs=signs, words=reviewed(one.words, review.words, uow.now))

    return _reviewed(
        uow,
        row,
        looked,
        lambda calendar, reviewer, settings, ctx: decide_review_words(
            calendar, review, reviewer, settings, ctx
        ),
    )


def _reviewed(
    uow: UnitOfWork, row: Session, looked: Looked, decide: Decide
) -> SessionCommandResult:
    """Run a review. ``looked`` is a session once the practitioner has looked: what it may be
    then is kept with the event, so that the calendar shows it."""
    if uow.actor.practitioner_id is None:
        raise Rejected("forbidden", "Only a practitioner looks at this.", status=403)
    known = uow.states(row.client_id, (*CLIENT_FACTS, CALENDAR))
    assessor = SessionAssessor(row.client_id, client_facts(known))
    then = CalendarState(
        MappingProxyType({key: looked(one) for key, one in known[CALENDAR].sessions.items()})
    )
    session, permissions = then.session(row.id), None
    if session.status is SessionStatus.ARRIVED:
        case = assessor.now(session, then)
        permissions = case.snapshot(case.evaluated())
    who = uow.actor.practitioner_id
    reviewer = Reviewer(
        practitioner_id=who,
        credential=assessor.person(who).credential,
        client=assessor.client,
        permissions=permissions,
    )
    outcome = uow.execute(
        row.client_id,
        SLICES,
        lambda states, ctx: decide(states[CALENDAR], reviewer, assessor.settings, ctx),
    )
    return SessionCommandResult(row.id, row.client_id, outcome)
