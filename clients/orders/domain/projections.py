"""The rows of orders. Pure."""

from __future__ import annotations

import msgspec

from clients.identity.domain.rows import to_json
from clients.orders.domain import events
from clients.orders.domain.terms import OrderKind
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection

ORDER_ROWS = Projection("clients.Order", watches=(events,))


@ORDER_ROWS.on(events.OrderFiled)
def filed(rows: ProjectedRows, event: events.OrderFiled, meta: RecordedEvent) -> None:
    row = msgspec.structs.asdict(event.order)
    del row["id"]
    for name in ("subjects", "sites", "techniques", "limits", "stands_against"):
        row[name] = to_json(row[name])
    rows.put(event.order.id, {**row, "lifted_on": None, "filed_at": meta.recorded_at})


@ORDER_ROWS.on(events.OrderLifted)
def lifted(rows: ProjectedRows, event: events.OrderLifted, meta: RecordedEvent) -> None:
    rows.change(
        event.order_id,
        lifted_on=event.lifted_on,
        lifted_by=event.lifted_by,
        lifted_reason=event.reason,
    )


@ORDER_ROWS.on(events.OrderPrecedenceNamed)
def precedence_named(
    rows: ProjectedRows, event: events.OrderPrecedenceNamed, meta: RecordedEvent
) -> None:
    if event.stands is OrderKind.CLEARANCE:
        rows.change(
            event.restriction_id,
            lifted_on=event.named_on,
            lifted_by=event.named_by,
            lifted_reason=event.reason,
        )
        return
    row = rows.get(event.restriction_id)
    before = row["stands_against"] if row else []
    rows.change(event.restriction_id, stands_against=[*before, str(event.clearance_id)])
