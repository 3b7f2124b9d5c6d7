"""Who pays for a client on a day: what a payer asks of supervision is judged by it."""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.models import Authorization
from practice.work import loading


def payers_of_day(client_id: UUID, day: date, known_at: datetime | None = None) -> tuple[UUID, ...]:
    """The payers whose authorization covers the day; empty where the client pays.

    ``known_at``: by the authorizations as they were on record at an instant.
    """
    if known_at is not None:
        states = loading.load_states(client_id, (AUTHORIZATION_BALANCE,), known_at=known_at)
        known = states[AUTHORIZATION_BALANCE].authorizations.values()
        return tuple({one.payer_id for one in known if one.covers_day(day)})
    covering = Authorization.objects.filter(
        client_id=client_id, starts_on__lte=day, last_day__gte=day, voided_at__isnull=True
    )
    return tuple(covering.values_list("payer_id", flat=True).distinct())
