"""The orders slice: every paper that was filed, with the day it was lifted, if it was."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

import msgspec

from clients.domain.events import OrderFiled, OrderLifted
from clients.domain.health import Order
from practice.domain.decisions import Slice
from practice.domain.events import Recorded


@dataclass(frozen=True, slots=True)
class OrdersState:
    """``version``: of the client's stream, at the latest event folded here; 0 without one."""

    orders: tuple[Order, ...]
    version: int


class _Builder:
    def __init__(self) -> None:
        self.orders: dict[UUID, Order] = {}
        self.lifts: dict[UUID, OrderLifted] = {}
        self.version = 0


def _evolve(builder: _Builder, recorded: Recorded) -> None:
    builder.version = max(builder.version, recorded.version)
    match recorded.data:
        case OrderFiled(order=order):
            builder.orders[order.id] = order
        case OrderLifted(order_id=order_id) as event:
            builder.lifts[order_id] = event


def _lifted(order: Order, lift: OrderLifted | None) -> Order:
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
    name="orders",
    folds=(OrderFiled, OrderLifted),
    initial=_Builder,
    evolve=_evolve,
    freeze=_freeze,
)
