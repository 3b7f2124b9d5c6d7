"""What features above say of an authorization: how many visits it would cover now."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from billing.authorizations.domain.state import AuthorizationBalance
from practice.core.appspec import ExtensionPoint

COVERABLE_VISITS = ExtensionPoint[Callable[[AuthorizationBalance, UUID], int]](
    "visits that an authorization would cover now"
)


def coverable_visits_of(balance: AuthorizationBalance, authorization_id: UUID) -> int:
    """How many of a client's visits an authorization would cover now and does not."""
    return sum(answer(balance, authorization_id) for answer in COVERABLE_VISITS.answers)
