"""Like with like: which readings may be compared, and what the change is called."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from enum import StrEnum
from itertools import takewhile
from operator import attrgetter
from typing import Any, NamedTuple
from uuid import UUID

import msgspec

from practice.core.events import EventOrder
from practice.core.terms import BodyPosition, Instrument, MotionType, Movement, Side
from sessions.measurements.domain.measurement_error import threshold
from sessions.measurements.domain.settings import MeasurementSettings


class ComparableReading(msgspec.Struct, frozen=True, kw_only=True):
    """One reading that counts, with the time it was taken (aware) and its place in the stream."""

    reading_id: UUID
    occurred_at: datetime
    recorded_at: datetime
    version: int
    session_id: UUID | None
    movement: Movement
    side: Side
    motion: MotionType
    degrees: int
    position: BodyPosition
    instrument: Instrument
    rater_id: UUID
    pain: int | None = None
    assisted: bool = False

    @property
    def order(self) -> EventOrder:
        """By time taken; ties keep the order in which they were recorded."""
        return (self.occurred_at, self.recorded_at, self.version)


def comparable_reading(
    measured: Any, *, reading_id: UUID, occurred_at: datetime, recorded_at: datetime, version: int
) -> ComparableReading:
    """The reading that its event or its row in the read table stands for: both name things
    alike, and a row has the terms as plain text."""
    return ComparableReading(
        reading_id=reading_id,
        occurred_at=occurred_at,
        recorded_at=recorded_at,
        version=version,
        session_id=measured.session_id,
        movement=Movement(measured.movement),
        side=Side(measured.side),
        motion=MotionType(measured.motion),
        degrees=measured.degrees,
        position=BodyPosition(measured.position),
        instrument=Instrument(measured.instrument),
        rater_id=measured.rater_id,
        pain=measured.pain,
        assisted=measured.assisted,
    )


class ReadingKind(NamedTuple):
    """What two readings must share to be compared."""

    movement: Movement
    side: Side
    motion: MotionType
    assisted: bool
    instrument: Instrument


def reading_kind(reading: ComparableReading) -> ReadingKind:
    """The kind of a reading: movement, side, who moves, helped or not, class of instrument."""
    return ReadingKind(
        reading.movement, reading.side, reading.motion, reading.assisted, reading.instrument
    )


class ChangeLabel(StrEnum):
    """What a change is called."""

    IMPROVED = "improved"
    REGRESSED = "regressed"
    WITHIN_ERROR = "within_measurement_error"
    NOT_EVALUATED = "not_evaluated"


class ComparisonBase(StrEnum):
    """What a reading is compared with."""

    DISCHARGE = "discharge"
    BASELINE = "baseline"
    LAST = "last"
    BEST = "best"


class Comparison(msgspec.Struct, frozen=True, kw_only=True):
    """A reading against an alike one. ``change`` in degrees, negative where range was lost.

    ``threshold`` and ``policy`` are absent where the instrument is not evaluated.
    """

    against: ComparisonBase
    reading_id: UUID
    degrees: int
    change: int
    same_rater: bool
    threshold: float | None
    policy: str
    label: ChangeLabel


def label_change(change: float, limit: float) -> ChangeLabel:
    """Lost or gained from the minimal detectable change on; below it, within measurement error."""
    if change >= limit:
        return ChangeLabel.IMPROVED
    if change <= -limit:
        return ChangeLabel.REGRESSED
    return ChangeLabel.WITHIN_ERROR


def compare(
    reading: ComparableReading,
    other: ComparableReading,
    against: ComparisonBase,
    settings: MeasurementSettings,
) -> Comparison:
    """One reading against one alike reading. The two must be of one kind."""
    if reading_kind(reading) != reading_kind(other):
        raise ValueError("only readings of one kind are compared")
    same = reading.rater_id == other.rater_id
    change = reading.degrees - other.degrees
    found = threshold(reading.instrument, same_rater=same, settings=settings)
    return Comparison(
        against=against,
        reading_id=other.reading_id,
        degrees=other.degrees,
        change=change,
        same_rater=same,
        threshold=found[0] if found else None,
        policy=found[1] if found else "no figure for this instrument",
        label=label_change(change, found[0]) if found else ChangeLabel.NOT_EVALUATED,
    )


def taken_before(
    reading: ComparableReading, alike: Sequence[ComparableReading]
) -> Sequence[ComparableReading]:
    """Of the readings of its kind, by time taken, those before this one."""
    return alike[: bisect_left(alike, reading.order, key=attrgetter("order"))]


def _same_rater_of_day(
    chosen: ComparableReading,
    of_day: Iterable[ComparableReading],
    rater: UUID,
) -> ComparableReading:
    """Of the readings taken on the chosen one's day, the same rater's last, if there is one."""
    if chosen.rater_id == rater:
        return chosen
    return max(
        (one for one in of_day if one.rater_id == rater), key=attrgetter("order"), default=chosen
    )


def compare_all(
    reading: ComparableReading,
    before: Sequence[ComparableReading],
    settings: MeasurementSettings,
    *,
    day: Callable[[datetime], object],
    discharge: ComparableReading | None = None,
) -> list[Comparison]:
    """Against discharge, baseline, last and best, as far as there are such. ``before``: those of
    its kind taken before it, by time taken.

    A pair of one rater outranks a pair of two: where the baseline's or the last
    one's day has a reading of the same rater too, that one is taken. ``day`` gives
    the local day of an instant.
    """
    result: list[Comparison] = []
    if discharge is not None and reading_kind(discharge) == reading_kind(reading):
        result.append(compare(reading, discharge, ComparisonBase.DISCHARGE, settings))
    if not before:
        return result
    rater, first, last = reading.rater_id, day(before[0].occurred_at), day(before[-1].occurred_at)
    of_first = takewhile(lambda r: day(r.occurred_at) == first, before)
    of_last = takewhile(lambda r: day(r.occurred_at) == last, reversed(before))
    most = max(one.degrees for one in before)
    of_most = (one for one in before if one.degrees == most)
    best = max(of_most, key=lambda r: (r.rater_id == rater, r.order))
    chosen = {
        ComparisonBase.BASELINE: _same_rater_of_day(before[0], of_first, rater),
        ComparisonBase.LAST: _same_rater_of_day(before[-1], of_last, rater),
        ComparisonBase.BEST: best,
    }
    result.extend(compare(reading, other, against, settings) for against, other in chosen.items())
    return result


def asks_second_reading(
    reading: ComparableReading,
    before: Sequence[ComparableReading],
    settings: MeasurementSettings,
    *,
    day: Callable[[datetime], object],
) -> bool:
    """Whether the drop since the last alike reading asks for a second one that day. ``before``:
    those of its kind taken before it, by time taken.

    Asked once: a second reading by the same rater on the same day asks for no third.
    """
    on = day(reading.occurred_at)
    for earlier in reversed(before):
        if day(earlier.occurred_at) != on:
            return earlier.degrees - reading.degrees >= settings.second_reading_drop
        if earlier.rater_id == reading.rater_id:
            return False
    return False
