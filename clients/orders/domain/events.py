"""Events of a prescriber's orders for a client."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind
from practice.core.events import Event, event

# Orders


@event("order.filed")
class OrderFiled(Event, frozen=True, kw_only=True):
    """A surgeon's or physician's order was filed."""

    order: MedicalOrder
    expiry_by_setting: bool = False


@event("order.lifted")
class OrderLifted(Event, frozen=True, kw_only=True):
    """A restriction was lifted or a clearance revoked, by name and date."""

    order_id: UUID
    kind: OrderKind
    lifted_on: date
    lifted_by: str
    reason: str = ""


@event("order.precedence_named")
class OrderPrecedenceNamed(Event, frozen=True, kw_only=True):
    """Which stands of a restriction and a clearance of a later date (ruling 46).

    ``stands``: where it is the clearance, the restriction ends on ``named_on``.
    """

    restriction_id: UUID
    clearance_id: UUID
    stands: OrderKind
    named_on: date
    named_by: str
    reason: str
