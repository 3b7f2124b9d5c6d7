"""A person's choices for a visit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE, AuthorizationBalance
from billing.authorizations.models import Visit
from billing.authorizations.services import check_fresh
from billing.payers.domain.rules import PayerRulesById
from billing.payers.selectors import payer_rules
from billing.visits.domain.overrides import override_authorization, override_units
from billing.visits.selectors.visits import visit_get
from billing.visits.services.shared_time import VisitKey, visit_answer_shared_time
from practice.core.decisions import Decided
from practice.work.unit_of_work import Outcome, UnitOfWork

Override = Callable[[AuthorizationBalance, UUID, Any, PayerRulesById, str], Decided]

OVERRIDES: Mapping[str, Override] = {
    "units": override_units,
    "authorization_id": override_authorization,
}
"""By what is chosen: the service code of units held back, the authorization that the visit is
covered by (also after room appeared)."""


def visit_override(
    uow: UnitOfWork, *, visit_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """Choose one of ``OVERRIDES`` for a visit, by the rules of the client's payers as they
    stand under the lock; or answer whose shared minutes are (``shared_time``)."""
    client_id = visit_get(visit_id).client_id
    if "shared_time" in command:
        visit = VisitKey(client_id, visit_id, if_match)
        reason = command.get("reason", "")
        return visit_answer_shared_time(uow, visit, command["shared_time"], reason)
    balance = uow.states(client_id, (AUTHORIZATION_BALANCE,))[AUTHORIZATION_BALANCE]
    payers = payer_rules({one.payer_id for one in balance.authorizations.values()})
    check_fresh(Visit, visit_id, if_match)
    chosen = next(name for name in OVERRIDES if name in command)
    outcome = uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, _: OVERRIDES[chosen](
            states[AUTHORIZATION_BALANCE],
            visit_id,
            command[chosen],
            payers,
            command.get("reason", ""),
        ),
    )
    outcome.entity_id = visit_id
    return outcome
