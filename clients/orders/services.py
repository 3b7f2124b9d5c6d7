"""A surgeon's or physician's orders on the client's record."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from clients.identity.registered import execute
from clients.orders.domain import decisions as filing_orders
from clients.orders.domain.commands import FileOrder, LiftOrder
from clients.orders.domain.state import ORDERS
from practice.policy.selectors import settings_group
from practice.work.unit_of_work import Outcome, UnitOfWork


def order_file(
    uow: UnitOfWork, *, client_id: UUID, command: FileOrder, if_match: int | None = None
) -> Outcome:
    """A surgeon's or physician's order."""
    uow.lock(client_id)
    days = settings_group("permissions", filing_orders.OrderSettings)[0].clearance_days
    return execute(
        uow,
        client_id,
        ORDERS,
        lambda _orders, details, ctx: filing_orders.file_order(
            command, details, clearance_days=days, ctx=ctx
        ),
        if_match=if_match,
    )


def order_lift(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    order_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Outcome:
    """An order lifted by name and date."""
    lift = LiftOrder(order_id=order_id, **command)
    return execute(
        uow,
        client_id,
        ORDERS,
        lambda orders, details, ctx: filing_orders.lift_order(orders, lift, details.zone, ctx),
        if_match=if_match,
    )
