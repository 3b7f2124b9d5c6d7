"""A client's health history and orders as values: shared by events, state and permissions."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from clients.health.domain.terms import (
    ClearanceNeed,
    ConditionKind,
    NeckHistory,
    OperationApproach,
    OperationKind,
)
from practice.core.terms import Movement, Region, Side


class BodySite(msgspec.Struct, frozen=True, kw_only=True, order=True):
    """A region of the body on a side; ``both`` where the sides are not told apart."""

    region: Region
    side: Side


class RangeLimit(msgspec.Struct, frozen=True, kw_only=True, order=True):
    """A movement that must not go beyond some degrees."""

    movement: Movement
    degrees: float


class Operation(msgspec.Struct, frozen=True, kw_only=True):
    """One operation. What is None is not known, and counts as not safe.

    ``regions`` adds to the regions that the kind is known to touch. ``approach``: of an
    operation of abdomen or pelvis.
    ``donor_incision_healed``: back (latissimus) or abdomen (flap).
    ``stands_erect``: after an abdominal flap, whether the client stands fully upright.
    """

    id: UUID
    kind: OperationKind
    side: Side
    on: date | None = None
    approach: OperationApproach | None = None
    regions: tuple[Region, ...] = ()
    incision_healed: bool | None = None
    drains_out: bool | None = None
    donor_incision_healed: bool | None = None
    expander_in: bool | None = None
    stands_erect: bool | None = None
    text: str = ""


class Radiation(msgspec.Struct, frozen=True, kw_only=True):
    """One course of radiation. ``skin_broken`` None: nobody has looked yet."""

    id: UUID
    sites: tuple[BodySite, ...]
    from_date: date | None = None
    until_date: date | None = None
    skin_broken: bool | None = None


class Condition(msgspec.Struct, frozen=True, kw_only=True):
    """A condition; without ``sites`` it counts for the whole body."""

    id: UUID
    kind: ConditionKind
    sites: tuple[BodySite, ...] = ()
    since: date | None = None
    suspected: bool = False
    text: str = ""


class HistoryContent(msgspec.Struct, frozen=True, kw_only=True):
    """A health history, as reported by the desk or as reviewed by a practitioner.

    ``usual_pain``: pain at rest on an ordinary day, 0-10.
    ``pathology_under_treatment`` None: nobody asked, and it counts as true; it counts as
    false only where a reviewer recorded none.
    """

    operations: tuple[Operation, ...] = ()
    radiations: tuple[Radiation, ...] = ()
    conditions: tuple[Condition, ...] = ()
    neck: NeckHistory = NeckHistory.NOT_ASKED
    clearance_need: ClearanceNeed = ClearanceNeed.NOT_ASKED
    pathology_under_treatment: bool | None = None
    usual_pain: int | None = None
    text: str = ""
