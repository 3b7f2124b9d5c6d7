"""The orders slice: every order that was filed, with the day it was lifted, if it was."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

import msgspec

from clients.orders.domain import events
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind
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
        self.lifted: dict[UUID, date] = {}
        self.stands_against: dict[UUID, tuple[UUID, ...]] = {}
        self.version = 0


def _as_it_stands(builder: _Builder, order: MedicalOrder) -> MedicalOrder:
    return msgspec.structs.replace(
        order,
        lifted_on=builder.lifted.get(order.id),
        stands_against=builder.stands_against.get(order.id, ()),
    )


def _freeze(builder: _Builder) -> OrdersState:
    return OrdersState(
        orders=tuple(_as_it_stands(builder, order) for order in builder.orders.values()),
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
    builder.lifted[event.order_id] = event.lifted_on


@ORDERS.on(events.OrderPrecedenceNamed)
def precedence_named(
    builder: _Builder, event: events.OrderPrecedenceNamed, meta: RecordedEvent
) -> None:
    builder.version = max(builder.version, meta.version)
    if event.stands is OrderKind.CLEARANCE:
        builder.lifted[event.restriction_id] = event.named_on
    else:
        before = builder.stands_against.get(event.restriction_id, ())
        builder.stands_against[event.restriction_id] = (*before, event.clearance_id)
