"""An authorization entered in error never was: its visits are calculated without it. Pure."""

from __future__ import annotations

from uuid import UUID

from billing.authorizations.domain.events import AuthorizationVoided
from billing.authorizations.domain.state import AuthorizationBalance
from billing.payers.domain.rules import PayerRulesById
from billing.visits.domain.reactors import day_of_visit, recalculated_days
from practice.core.decisions import Decided


def void_authorization(
    authorization_balance: AuthorizationBalance,
    authorization_id: UUID,
    payers: PayerRulesById,
    reason: str,
) -> Decided:
    """Void it: what visits used of it goes back, and each is calculated again, oldest first,
    by the authorizations that are left. Voiding it again says nothing new."""
    if authorization_id in authorization_balance.voided:
        return []
    authorization_balance.authorization(authorization_id)
    left = authorization_balance.without(authorization_id)
    concerned = sorted(
        (visit.last.local_date, visit_id)
        for visit_id, visit in left.visits.items()
        if authorization_id in (visit.last.authorization_id, *visit.last.fully_covered_by)
    )
    days = [day_of_visit(left, visit_id) for _, visit_id in concerned]
    return [
        AuthorizationVoided(authorization_id=authorization_id, reason=reason),
        *recalculated_days(days, left, payers),
    ]
