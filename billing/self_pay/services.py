"""Stating who pays."""

from __future__ import annotations

from uuid import UUID

from billing.self_pay.domain.decisions import StateSelfPay, state_self_pay
from billing.self_pay.domain.state import SELF_PAY
from clients.identity.selectors import require_visible_client
from practice.work.unit_of_work import Outcome, UnitOfWork


def self_pay_state(uow: UnitOfWork, *, client_id: UUID, command: StateSelfPay) -> Outcome:
    """From a day on the client pays for themself, or does not any more."""
    uow.lock(client_id)
    require_visible_client(uow.actor, client_id)
    return uow.execute(
        client_id,
        (SELF_PAY,),
        lambda states, ctx: state_self_pay(states[SELF_PAY], command, ctx),
    )
