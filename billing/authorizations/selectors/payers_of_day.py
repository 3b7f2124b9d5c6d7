"""Who pays for a client on a day: what a payer asks of supervision is judged by it."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from billing.authorizations.models import Authorization


def payers_of_day(client_id: UUID, day: date) -> tuple[UUID, ...]:
    """The payers whose authorization covers the day; empty where the client pays."""
    covering = Authorization.objects.filter(
        client_id=client_id, starts_on__lte=day, last_day__gte=day, voided_at__isnull=True
    )
    return tuple(covering.values_list("payer_id", flat=True).distinct())
