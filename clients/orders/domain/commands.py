"""What the clients app is asked to do, as plain values."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from clients.health.domain.content import BodySite, RangeLimit
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from practice.core.terms import Mode, Technique


class FileOrder(msgspec.Struct, frozen=True, kw_only=True):
    """An order from outside, as it reads. See ``clients.orders.domain.order.MedicalOrder``."""

    kind: OrderKind
    prescriber: Prescriber
    prescriber_name: str
    given_on: date
    subjects: tuple[OrderSubject, ...] = ()
    sites: tuple[BodySite, ...] = ()
    techniques: tuple[Technique, ...] = ()
    limits: tuple[RangeLimit, ...] = ()
    widest_mode: Mode = Mode.SELF_DIRECTED
    from_date: date | None = None
    expires_on: date | None = None
    text: str = ""


class NamePrecedence(msgspec.Struct, frozen=True, kw_only=True):
    """Which of a restriction and a later clearance stands, by whom it is named and why."""

    restriction_id: UUID
    clearance_id: UUID
    stands: OrderKind
    named_by: str
    reason: str


class LiftOrder(msgspec.Struct, frozen=True, kw_only=True):
    """An order lifted by name and date."""

    order_id: UUID
    lifted_by: str
    lifted_on: date | None = None
    reason: str = ""
