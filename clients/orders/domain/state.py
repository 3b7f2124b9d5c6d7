"""The orders slice: every paper that was filed, with the day it was lifted, if it was."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

import msgspec

from clients.orders.domain.events import OrderFiled, OrderLifted
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
        self.lifts: dict[UUID, OrderLifted] = {}
        self.version = 0


def _evolve(builder: _Builder, recorded: RecordedEvent) -> None:
    builder.version = max(builder.version, recorded.version)
    match recorded.data:
        case OrderFiled(order=order):
            builder.orders[order.id] = order
        case OrderLifted(order_id=order_id) as event:
            builder.lifts[order_id] = event


def _lifted(order: MedicalOrder, lift: OrderLifted | None) -> MedicalOrder:
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
