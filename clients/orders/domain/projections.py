"""The rows of orders. Pure."""

from __future__ import annotations

import msgspec

from clients.identity.domain.rows import to_json
from clients.orders.domain.events import OrderFiled, OrderLifted
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, projection


@projection("clients.Order", OrderFiled, OrderLifted)
def order_row(rows: ProjectedRows, rec: RecordedEvent) -> None:
    """One row a paper."""
    match rec.data:
        case OrderFiled(order=order):
            filed = msgspec.structs.asdict(order)
            del filed["id"]
            for name in ("subjects", "sites", "techniques", "limits"):
                filed[name] = to_json(filed[name])
            rows.put(order.id, {**filed, "lifted_on": None, "filed_at": rec.recorded_at})
        case OrderLifted() as event:
            rows.change(
                event.order_id,
                lifted_on=event.lifted_on,
                lifted_by=event.lifted_by,
                lifted_reason=event.reason,
            )
