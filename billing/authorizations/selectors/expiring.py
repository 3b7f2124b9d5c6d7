"""Authorizations among what of clients ends soon."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from uuid import UUID

from billing.authorizations.models import Authorization
from billing.payers.selectors import payer_names
from clients.papers.expiring import Expiring


def expiring_authorizations(
    client_ids: Collection[UUID], first: date, last: date
) -> list[Expiring]:
    """Those whose last day, early or not, lies between two days; of whom to ask is the payer."""
    rows = list(
        Authorization.objects.filter(
            client_id__in=client_ids, voided_at=None, last_day__gte=first, last_day__lte=last
        )
    )
    names = payer_names(rows) if rows else {}
    return [
        Expiring(one.client_id, "authorization", one.pk, one.last_day, names.get(one.payer_id, ""))
        for one in rows
    ]
