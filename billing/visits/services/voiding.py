"""Voiding an authorization that was entered in error."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.services import authorization_locked
from billing.payers.selectors import payer_rules
from billing.visits.domain.voiding import void_authorization
from practice.work.unit_of_work import Outcome, UnitOfWork


def authorization_void(
    uow: UnitOfWork,
    *,
    authorization_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Outcome:
    """Void an authorization, with the ``reason``; its visits are calculated again."""
    client_id = authorization_locked(uow, authorization_id, if_match)
    balance = uow.states(client_id, (AUTHORIZATION_BALANCE,))[AUTHORIZATION_BALANCE]
    payers = payer_rules({one.payer_id for one in balance.authorizations.values()})
    outcome = uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, _: void_authorization(
            states[AUTHORIZATION_BALANCE], authorization_id, payers, command["reason"]
        ),
    )
    outcome.entity_id = authorization_id
    return outcome
