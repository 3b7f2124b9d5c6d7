"""Time that several sessions share: a person's answer, and telling the other client's visit."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE, AuthorizationBalance
from billing.authorizations.models import Visit
from billing.authorizations.services import check_fresh
from billing.payers.domain.rules import PayerRulesById
from billing.payers.selectors import payer_rules
from billing.visits.domain.jobs import SHARED_TIME_JOB
from billing.visits.domain.reactors import day_of_visit, recalculated, with_session
from billing.visits.domain.shared_answers import (
    GivenAnswer,
    SharedTimeDecision,
    SharingSession,
    answer_shared_time,
    divide_shared_time,
)
from billing.visits.domain.shared_time import with_shared
from billing.visits.selectors.overlaps import sessions_elsewhere
from billing.visits.selectors.sharing import clients_sharing
from practice.core.reasons import Rejected, invalid
from practice.jobs.handlers import job_handler
from practice.work.unit_of_work import UnitOfWork
from sessions.notes.models import Note


def visit_answer_shared_time(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    visit_id: UUID,
    shared_time: GivenAnswer,
    reason: str = "",
    if_match: int | None = None,
) -> None:
    """Say whose the minutes are that a session of a visit shares with others.

    One answer for all sessions that share them, of other clients too: what one gets, the
    others give back, in one transaction.
    """
    clients = clients_sharing(shared_time.session_id)
    uow.lock(client_id, *clients)
    check_fresh(Visit, visit_id, if_match)
    balances = {one: _balance(uow, one) for one in {client_id, *clients}}
    visit = balances[client_id].visit(visit_id).last
    if all(one.session_id != shared_time.session_id for one in visit.sessions):
        raise invalid("session_id", "Name a session of this visit that shares minutes.")
    sharing = _sharing(balances, shared_time.session_id)
    decision = divide_shared_time(sharing, shared_time, reason)
    for one in sorted({found.client_id for found in sharing}):
        _answer(uow, one, decision, _payers(balances[one]))


@job_handler(SHARED_TIME_JOB)
def recalculate_shared_time(uow: UnitOfWork, session_id: UUID, key: str) -> None:
    """Tell the visit of a signed session what it shares with sessions of other clients."""
    note = Note.objects.filter(session_id=session_id).values("client_id", "id").first()
    if note is None:  # the record was erased since
        return
    balance = _balance(uow, note["client_id"])
    visit_id = balance.by_note.get(note["id"])
    if visit_id is None:
        return
    day, payers = day_of_visit(balance, visit_id), _payers(balance)
    session = next(one for one in day.sessions if one.session_id == session_id)
    elsewhere = sessions_elsewhere(
        note["client_id"], session.practitioner_id, session.started_at, session.ended_at
    )
    told = with_session(day, with_shared(session, elsewhere))
    uow.execute(
        note["client_id"],
        (AUTHORIZATION_BALANCE,),
        lambda states, _: recalculated(told, states[AUTHORIZATION_BALANCE], payers),
    )


def _answer(
    uow: UnitOfWork, client_id: UUID, decision: SharedTimeDecision, payers: PayerRulesById
) -> None:
    uow.execute(
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
        wanted.extend(one.session_id for one in known[now].session.shared)
    return [found[one] for one in sorted(found)]


def _check_erased(session_id: UUID) -> None:
    """A session of a record that was erased has no say; any other was signed meanwhile."""
    if Note.objects.filter(session_id=session_id).exists():
        raise Rejected(
            "shared_time_moved_on",
            "Another session that shares this time was signed meanwhile. Read the visit again.",
        )
