"""The orders slice: every order that was filed, with the day it was lifted, if it was."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

import msgspec

from clients.orders.domain import events
from clients.orders.domain.order import MedicalOrder
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent


@dataclass(frozen=True, slots=True)
class OrdersState:
    """``version``: of the client's stream, at the latest event folded here; 0 without one."""

    orders: tuple[MedicalOrder, ...]
    version: int


class _Builder:
    def __init__(self) -> None:
        self.orders: dict[UUID, MedicalOrder] = {}
        self.lifts: dict[UUID, events.OrderLifted] = {}
        self.version = 0


def _lifted(order: MedicalOrder, lift: events.OrderLifted | None) -> MedicalOrder:
    if lift is None:
        return order
    return msgspec.structs.replace(order, lifted_on=lift.lifted_on)


def _freeze(builder: _Builder) -> OrdersState:
    return OrdersState(
        orders=tuple(
            _lifted(order, builder.lifts.get(key)) for key, order in builder.orders.items()
        ),
        version=builder.version,
    )


ORDERS: Slice[_Builder, OrdersState] = Slice(
    "orders", initial=_Builder, freeze=_freeze, watches=(events,)
)


@ORDERS.on(events.OrderFiled)
def filed(builder: _Builder, event: events.OrderFiled, meta: RecordedEvent) -> None:
    builder.version = max(builder.version, meta.version)
    builder.orders[event.order.id] = event.order


@ORDERS.on(events.OrderLifted)
def lifted(builder: _Builder, event: events.OrderLifted, meta: RecordedEvent) -> None:
    builder.version = max(builder.version, meta.version)
    builder.lifts[event.order_id] = event
