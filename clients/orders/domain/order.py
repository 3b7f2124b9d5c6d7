"""A client's health history and orders as values: shared by events, state and permissions."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from clients.health.domain.content import BodySite, RangeLimit
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from practice.core.terms import Mode, Technique


class MedicalOrder(msgspec.Struct, frozen=True, kw_only=True):
    """A surgeon's or physician's order.

    A clearance covers only the ``subjects`` and ``sites`` that it names (one for load
    without sites covers the whole body); with no ``techniques`` it is a general one,
    which waits for the practice's weeks. It counts from ``from_date`` (else ``given_on``) to
    ``expires_on``, both included.
    A restriction with no ``sites`` or ``techniques`` speaks for all of them, holds
    work to ``widest_mode`` and ``limits``, and without an end stands until it is lifted.
    ``stands_against``: later clearances over which a practitioner named a restriction to stand.
    """

    id: UUID
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
    lifted_on: date | None = None
    stands_against: tuple[UUID, ...] = ()
    text: str = ""
