"""A client's record in this app: what stands now, what happened, and what was known when."""

from __future__ import annotations

from uuid import UUID

from clients.orders.models import Order


def orders_of(client_id: UUID) -> list[Order]:
    """The client's orders, the newest first."""
    return list(Order.objects.filter(client_id=client_id).order_by("-given_on", "id"))
