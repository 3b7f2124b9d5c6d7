"""A person's choices for a visit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE, AuthorizationBalance
from billing.authorizations.models import Visit
from billing.authorizations.services import check_fresh
from billing.payers.domain.rules import PayerRulesById
from billing.payers.selectors import payer_rules
from billing.visits.domain.overrides import override_authorization, override_units
from practice.core.decisions import Decided
from practice.work.unit_of_work import Outcome, UnitOfWork


def visit_override_units(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    visit_id: UUID,
    units: Mapping[str, int],
    reason: str = "",
    if_match: int | None = None,
) -> Outcome:
    """Say which service code gets the units of a visit that were held back."""
    return _choose(
        uow,
        client_id,
        visit_id,
        if_match,
        lambda authorization_balance, payers: override_units(
            authorization_balance, visit_id, units, payers, reason
        ),
    )


def visit_override_authorization(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    visit_id: UUID,
    authorization_id: UUID,
    reason: str = "",
    if_match: int | None = None,
) -> Outcome:
    """Say which authorization a visit draws from; also covers it after room appeared."""
    return _choose(
        uow,
        client_id,
        visit_id,
        if_match,
        lambda authorization_balance, payers: override_authorization(
            authorization_balance, visit_id, authorization_id, payers, reason
        ),
    )


def _choose(
    uow: UnitOfWork,
    client_id: UUID,
    visit_id: UUID,
    if_match: int | None,
    decide: Callable[[AuthorizationBalance, PayerRulesById], Decided],
) -> Outcome:
    """A choice by the rules of the client's payers as they stand under the lock."""
    authorization_balance = uow.states(client_id, (AUTHORIZATION_BALANCE,))[AUTHORIZATION_BALANCE]
    payers = payer_rules({one.payer_id for one in authorization_balance.authorizations.values()})
    check_fresh(Visit, visit_id, if_match)
    return uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, _: decide(states[AUTHORIZATION_BALANCE], payers),
    )
