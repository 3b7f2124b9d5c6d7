"""The rows of orders. Pure."""

from __future__ import annotations

import msgspec

from clients.domain.events import (
    OrderFiled,
    OrderLifted,
)
from clients.domain.projecting.rows import plain
from practice.domain.events import Recorded
from practice.domain.projecting import Rows, projector


@projector("clients.Order", OrderFiled, OrderLifted)
def order_row(rows: Rows, rec: Recorded) -> None:
    """One row a paper."""
    match rec.data:
        case OrderFiled(order=order):
            filed = msgspec.structs.asdict(order)
            del filed["id"]
            for name in ("subjects", "sites", "techniques", "limits"):
                filed[name] = plain(filed[name])
            rows.put(order.id, {**filed, "lifted_on": None, "filed_at": rec.recorded_at})
        case OrderLifted() as event:
            rows.change(
                event.order_id,
                lifted_on=event.lifted_on,
                lifted_by=event.lifted_by,
                lifted_reason=event.reason,
            )
