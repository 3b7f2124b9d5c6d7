"""Who pays for a client on a day: what a payer asks of supervision is judged by it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.models import Authorization
from practice.work import loading


def payers_by_day(
    client_id: UUID, known_at: datetime | None = None
) -> Callable[[date], tuple[UUID, ...]]:
    """The payers whose authorization covers a day, read once; none where the client pays.

    ``known_at``: by the authorizations as they were on record at an instant.
    """
    if known_at is not None:
        states = loading.load_states(client_id, (AUTHORIZATION_BALANCE,), known_at=known_at)
        known = list(states[AUTHORIZATION_BALANCE].authorizations.values())
        return lambda day: tuple({one.payer_id for one in known if one.covers_day(day)})
    rows = Authorization.objects.filter(client_id=client_id, voided_at__isnull=True)
    held = list(rows.values_list("payer_id", "starts_on", "last_day"))
    return lambda day: tuple({payer for payer, first, last in held if first <= day <= last})


def payers_of_day(client_id: UUID, day: date, known_at: datetime | None = None) -> tuple[UUID, ...]:
    """The payers of one day."""
    return payers_by_day(client_id, known_at)(day)
