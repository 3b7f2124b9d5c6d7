"""Orders as shown: their content to practitioners, kind and dates to the desk."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from clients.orders.models import Order
from clients.orders.selectors import orders_of
from clients.orders.serializers import OrderListOutputSerializer
from practice.core.terms import Role
from practice.http.roles import CLINICAL

ORDER_HEADER_FIELDS = ("id", "kind", "given_on", "expires_on", "lifted_on")
ORDER_FIELDS = (
    *ORDER_HEADER_FIELDS,
    "prescriber",
    "prescriber_name",
    "from_date",
    "subjects",
    "sites",
    "techniques",
    "limits",
    "widest_mode",
    "text",
    "stands_against",
    "lifted_by",
    "lifted_reason",
)


def serialize_order(role: Role, row: Order) -> dict[str, Any]:
    """An order: its content for a practitioner, its kind and dates for the desk."""
    shown = {
        name: getattr(row, name)
        for name in (ORDER_FIELDS if role in CLINICAL else ORDER_HEADER_FIELDS)
    }
    if row.from_date is None:
        shown.pop("from_date", None)
    return shown


def serialize_orders(role: Role, client_id: UUID, version: int) -> Any:
    """The client's orders, the newest first."""
    results = [serialize_order(role, row) for row in orders_of(client_id)]
    return OrderListOutputSerializer({"results": results, "version": version}).data
