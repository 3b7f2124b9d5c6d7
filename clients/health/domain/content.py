"""A client's health history and orders as values: shared by events, state and permissions."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from clients.health.domain.terms import (
    BloodCountKind,
    ClearanceNeed,
    ClosedWork,
    ConditionKind,
    NeckHistory,
    OperationApproach,
    OperationKind,
    WordsEffect,
)
from clients.identity.domain.partial_dates import DatePrecision, first_possible
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

    ``on``: the last day that it can have been; ``planned``: it lies ahead.

    ``regions`` adds to the regions that the kind is known to touch. ``approach``: of an
    operation of abdomen or pelvis.
    ``donor_incision_healed``: back (latissimus) or abdomen (flap).
    ``stands_erect``: after an abdominal flap, whether the client stands fully upright.
    """

    id: UUID
    kind: OperationKind
    side: Side
    on: date | None = None
    on_precision: DatePrecision = DatePrecision.DAY
    planned: bool = False
    approach: OperationApproach | None = None
    regions: tuple[Region, ...] = ()
    incision_healed: bool | None = None
    drains_out: bool | None = None
    donor_incision_healed: bool | None = None
    expander_in: bool | None = None
    stands_erect: bool | None = None
    text: str = ""

    @property
    def first_day(self) -> date | None:
        """The first day that it can have been."""
        return first_possible(self.on, self.on_precision)


class Radiation(msgspec.Struct, frozen=True, kw_only=True):
    """One course of radiation. ``skin_broken`` None: nobody has looked yet.

    ``skin_seen_on``: the day of that look; in the course and for weeks after it the look of
    an earlier day does not count.
    """

    id: UUID
    sites: tuple[BodySite, ...]
    from_date: date | None = None
    from_date_precision: DatePrecision = DatePrecision.DAY
    until_date: date | None = None
    until_date_precision: DatePrecision = DatePrecision.DAY
    skin_broken: bool | None = None
    skin_seen_on: date | None = None

    @property
    def first_day(self) -> date | None:
        """The first day on which it can have begun."""
        return first_possible(self.from_date, self.from_date_precision)


class WordsReviewed(msgspec.Struct, frozen=True, kw_only=True):
    """What an evaluating practitioner said of a condition in free words, and why.

    ``closes`` is named only where the effect is that it closes something.
    """

    effect: WordsEffect
    reason: str
    closes: tuple[ClosedWork, ...] = ()


class Condition(msgspec.Struct, frozen=True, kw_only=True):
    """A condition; without ``sites`` it counts for the whole body.

    ``since``: of a seizure or a fall the latest. ``until``: its last day, where it can end by
    itself. ``accessed_from`` and ``accessed_until``: of a port, while a needle is in it.
    ``reviewed``: of one in free words; None, and it closes hands-on work.
    """

    id: UUID
    kind: ConditionKind
    sites: tuple[BodySite, ...] = ()
    since: date | None = None
    since_precision: DatePrecision = DatePrecision.DAY
    until: date | None = None
    suspected: bool = False
    accessed_from: date | None = None
    accessed_until: date | None = None
    reviewed: WordsReviewed | None = None
    text: str = ""

    @property
    def first_day(self) -> date | None:
        """The first day since when it can have been."""
        return first_possible(self.since, self.since_precision)


class BloodCount(msgspec.Struct, frozen=True, kw_only=True):
    """One count of the blood in the unit of its kind, and the day on which it was drawn."""

    id: UUID
    kind: BloodCountKind
    value: float
    drawn_on: date


class HistoryContent(msgspec.Struct, frozen=True, kw_only=True):
    """A health history, as reported by the desk or as reviewed by a practitioner.

    ``usual_pain``: pain at rest on an ordinary day, 0-10.
    ``pathology_under_treatment`` None: nobody asked, and it counts as true; it counts as
    false only where a reviewer recorded none.
    """

    operations: tuple[Operation, ...] = ()
    radiations: tuple[Radiation, ...] = ()
    conditions: tuple[Condition, ...] = ()
    blood_counts: tuple[BloodCount, ...] = ()
    neck: NeckHistory = NeckHistory.NOT_ASKED
    clearance_need: ClearanceNeed = ClearanceNeed.NOT_ASKED
    pathology_under_treatment: bool | None = None
    usual_pain: int | None = None
    text: str = ""
