"""Orders as shown: their content to practitioners, kind and dates to the desk."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from clients.models import Order
from clients.selectors import orders_of
from practice.api.roles import CLINICAL
from practice.domain.terms import Role

PAPER = ("id", "kind", "given_on", "expires_on", "lifted_on")
ORDER = (
    *PAPER,
    "giver",
    "given_by",
    "from_date",
    "subjects",
    "sites",
    "techniques",
    "limits",
    "widest",
    "text",
    "lifted_by",
    "lifted_reason",
)


def shown_order(role: Role, row: Order) -> dict[str, Any]:
    """A paper: its content for a practitioner, its kind and dates for the desk."""
    shown = {name: getattr(row, name) for name in (ORDER if role in CLINICAL else PAPER)}
    if row.from_date is None:
        shown.pop("from_date", None)
    return shown


def shown_orders(role: Role, client_id: UUID, version: int) -> dict[str, Any]:
    """Her papers, the newest first."""
    return {"results": [shown_order(role, row) for row in orders_of(client_id)], "version": version}
