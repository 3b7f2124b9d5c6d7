"""A client's year so far with a payer, from the rows of visits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from uuid import UUID

import msgspec
from django.db.models import Q

from billing.authorizations.domain.events import ExpectedAmount
from billing.authorizations.domain.yearly_thresholds import YearlyUse
from billing.authorizations.models import Visit

ClientYear = tuple[UUID, UUID | None, int]
"""A client, a payer, and a calendar year."""
UsesByYear = defaultdict[ClientYear, list[YearlyUse]]


def uses_of_years(wanted: Collection[ClientYear]) -> UsesByYear:
    """What visits of some clients used in some years, oldest first; one query."""
    found = UsesByYear(list)
    if not wanted:
        return found
    rows = (
        Visit.objects.filter(
            _of_years({year for *_, year in wanted}),
            client_id__in={client_id for client_id, *_ in wanted},
            payer_id__in={payer_id for _, payer_id, _ in wanted},
            used_units_total__gt=0,
        )
        .order_by("local_date", "id")
        .values_list("client_id", "payer_id", "id", "local_date", "used_units", "expected_amount")
    )
    for client_id, payer_id, visit_id, day, units, amount in rows:
        known = msgspec.convert(amount, ExpectedAmount) if amount is not None else None
        found[client_id, payer_id, day.year].append(YearlyUse(visit_id, day, units, known))
    return found


def _of_years(years: Iterable[int]) -> Q:
    wanted = Q()
    for year in sorted(years):
        wanted |= Q(local_date__year=year)
    return wanted
