"""What ends soon: orders with a last day, and what features above add (authorizations)."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from clients.identity.models import Client
from clients.orders.domain.terms import OrderKind
from clients.orders.models import Order
from clients.papers.domain.paper import is_expiring
from clients.papers.selectors import LocalDays
from practice.core.appspec import ExtensionPoint

ENDING_ORDERS = (OrderKind.CLEARANCE, OrderKind.PLAN_SIGNATURE)


@dataclass(frozen=True, slots=True)
class Expiring:
    """Something of a client that ends on a day, and of whom a new one is to be asked."""

    client_id: UUID
    kind: str
    id: UUID
    expires_on: date
    ask: str


EXPIRING = ExtensionPoint[Callable[[Collection[UUID], date, date], Sequence[Expiring]]](
    "what of clients ends soon"
)
"""``expiring(client_ids, first, last)``: what ends between two days, both included; one query."""


def expiring_of(client_ids: Collection[UUID], days: LocalDays, lead: int) -> list[Expiring]:
    """What of some clients ends from today to ``lead`` days ahead, by its last day.

    ``days`` give each client's own today; a few queries however many clients.
    """
    zones = dict(Client.objects.filter(pk__in=client_ids).values_list("pk", "zone"))
    if not zones:
        return []
    today = {client_id: days.of(zone) for client_id, zone in zones.items()}
    first, last = min(today.values()), max(today.values()) + timedelta(days=lead)
    orders = Order.objects.filter(
        client_id__in=zones,
        kind__in=ENDING_ORDERS,
        lifted_on=None,
        expires_on__gte=first,
        expires_on__lte=last,
    )
    found = [
        Expiring(one.client_id, one.kind, one.pk, one.expires_on, one.prescriber_name)
        for one in orders
        if one.expires_on is not None
    ]
    for answer in EXPIRING.answers:
        found.extend(answer(list(zones), first, last))
    return sorted(
        (one for one in found if is_expiring(one.expires_on, today[one.client_id], lead)),
        key=lambda one: (one.expires_on, one.id),
    )
