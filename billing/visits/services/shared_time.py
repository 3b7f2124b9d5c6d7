"""Time that several sessions share: a person's answer, and telling the other client's visit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE, AuthorizationBalance
from billing.authorizations.models import Visit
from billing.authorizations.services import check_fresh
from billing.payers.domain.rules import PayerRulesById
from billing.payers.selectors import payer_rules
from billing.visits.domain.reactors import day_of_visit, recalculated, with_session
from billing.visits.domain.shared_answers import (
    GivenAnswer,
    SharedTimeDecision,
    SharingSession,
    answer_shared_time,
    divide_shared_time,
)
from billing.visits.domain.shared_time import shared_elsewhere, with_shared
from billing.visits.selectors.overlaps import sessions_elsewhere, sessions_standing
from billing.visits.selectors.sharing import clients_sharing
from practice.core.reasons import Rejected, invalid
from practice.jobs.models import ScheduledJob
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.notes.models import Note
from sessions.notes.selectors.notes import notes_standing


@dataclass(frozen=True, slots=True)
class VisitKey:
    """A client's visit, and the version of it that the caller has read."""

    client_id: UUID
    visit_id: UUID
    if_match: int | None = None


def visit_answer_shared_time(
    uow: UnitOfWork, key: VisitKey, given: GivenAnswer, reason: str
) -> Outcome:
    """Say whose the minutes are that a session of a visit shares with others.

    One answer for all sessions that share them, of other clients too: what one gets, the
    others give back, in one transaction.
    """
    clients = {key.client_id, *clients_sharing(given.session_id)}
    uow.lock(*clients)
    check_fresh(Visit, key.visit_id, key.if_match)
    balances = {one: _balance(uow, one) for one in clients}
    visit = balances[key.client_id].visit(key.visit_id).last
    if all(one.session_id != given.session_id for one in visit.sessions):
        raise invalid("session_id", "Name a session of this visit that shares minutes.")
    sharing = _sharing(balances, given.session_id)
    decision = divide_shared_time(sharing, given, reason)
    outcomes = {
        one: _answer(uow, one, decision, _payers(balances[one]))
        for one in sorted({found.client_id for found in sharing})
    }
    outcome = outcomes[key.client_id]
    outcome.entity_id = key.visit_id
    return outcome


def recalculate_shared_time(uow: UnitOfWork, job: ScheduledJob) -> None:
    """Tell the visit of a signed session what it shares with sessions of other clients."""
    session_id = job.about
    note = notes_standing().filter(session_id=session_id).values("client_id", "id").first()
    if note is None:  # entered in error since, or the record was erased
        return
    balance = _balance(uow, note["client_id"])
    visit_id = balance.by_note.get(note["id"])
    if visit_id is None:
        return
    day, payers = day_of_visit(balance, visit_id), _payers(balance)
    session = balance.session_of_note(note["id"])
    if session is None:  # it was entered in error
        return
    elsewhere = sessions_elsewhere(
        note["client_id"], session.practitioner_id, session.started_at, session.ended_at
    )
    standing = sessions_standing(shared_elsewhere(session))
    told = with_session(day, with_shared(session, elsewhere, standing))
    uow.execute(
        note["client_id"],
        (AUTHORIZATION_BALANCE,),
        lambda states, _: recalculated(told, states[AUTHORIZATION_BALANCE], payers),
    )


def _answer(
    uow: UnitOfWork, client_id: UUID, decision: SharedTimeDecision, payers: PayerRulesById
) -> Outcome:
    return uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, _: answer_shared_time(states[AUTHORIZATION_BALANCE], decision, payers),
    )


def _balance(uow: UnitOfWork, client_id: UUID) -> AuthorizationBalance:
    return uow.states(client_id, (AUTHORIZATION_BALANCE,))[AUTHORIZATION_BALANCE]


def _payers(balance: AuthorizationBalance) -> PayerRulesById:
    return payer_rules({one.payer_id for one in balance.authorizations.values()})


def _sharing(
    balances: Mapping[UUID, AuthorizationBalance], session_id: UUID
) -> list[SharingSession]:
    """All sessions that share time with one, directly or through others."""
    known = {
        one.session_id: SharingSession(client_id, visit_id, one)
        for client_id, balance in balances.items()
        for visit_id, visit in balance.visits.items()
        for one in visit.last.sessions
    }
    wanted, found = [session_id], {}
    while wanted:
        now = wanted.pop()
        if now in found:
            continue
        if now not in known:
            _check_erased(now)
            continue
        found[now] = known[now]
        shared = known[now].session.shared
        wanted.extend(one.session_id for one in shared if not one.same_class)
    return [found[one] for one in sorted(found)]


def _check_erased(session_id: UUID) -> None:
    """A session of a record that was erased has no say; any other was signed meanwhile."""
    if Note.objects.filter(session_id=session_id).exists():
        raise Rejected(
            "shared_time_moved_on",
            "Another session that shares this time was signed meanwhile. Read the visit again.",
        )
