"""A surgeon's or physician's orders on the client's record."""

from __future__ import annotations

from uuid import UUID

from clients.domain.commands import FileOrder, LiftOrder
from clients.domain.deciding import filing_orders
from clients.domain.state.orders import ORDERS
from clients.services.registered import execute
from practice.eventlog.runner import Outcome, Work
from practice.selectors import settings_group


def order_file(
    work: Work, *, client_id: UUID, command: FileOrder, if_match: int | None = None
) -> Outcome:
    """A surgeon's or physician's paper."""
    work.lock(client_id)
    days = settings_group("permissions", filing_orders.OrderSettings)[0].leave_days
    return execute(
        work,
        client_id,
        ORDERS,
        lambda _orders, details, ctx: filing_orders.file_order(
            command, details, leave_days=days, ctx=ctx
        ),
        if_match=if_match,
    )


def order_lift(
    work: Work, *, client_id: UUID, command: LiftOrder, if_match: int | None = None
) -> Outcome:
    """An order lifted by name and date."""
    return execute(
        work,
        client_id,
        ORDERS,
        lambda orders, details, ctx: filing_orders.lift(orders, command, details.zone, ctx),
        if_match=if_match,
    )
