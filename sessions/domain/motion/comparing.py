"""Like with like: which readings may be compared, and what the change is called."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from enum import StrEnum
from typing import Any, NamedTuple
from uuid import UUID

import msgspec

from practice.domain.terms import Instrument, Motion, Movement, Position, Side
from sessions.domain.motion.error import threshold
from sessions.domain.motion.settings import MeasurementSettings


class Reading(msgspec.Struct, frozen=True, kw_only=True):
    """One reading that counts, with the time it was taken (aware) and its place in the stream."""

    reading_id: UUID
    at: datetime
    version: int
    session_id: UUID | None
    movement: Movement
    side: Side
    motion: Motion
    degrees: int
    position: Position
    instrument: Instrument
    rater_id: UUID
    pain: int | None = None
    assisted: bool = False

    @property
    def order(self) -> tuple[datetime, int]:
        """By time taken; ties keep the order in which they were recorded."""
        return (self.at, self.version)


def reading_of(measured: Any, *, reading_id: UUID, at: datetime, version: int) -> Reading:
    """The reading that its event or its row in the read table stands for: both name things
    alike, and a row has the terms as plain text."""
    return Reading(
        reading_id=reading_id,
        at=at,
        version=version,
        session_id=measured.session_id,
        movement=Movement(measured.movement),
        side=Side(measured.side),
        motion=Motion(measured.motion),
        degrees=measured.degrees,
        position=Position(measured.position),
        instrument=Instrument(measured.instrument),
        rater_id=measured.rater_id,
        pain=measured.pain,
        assisted=measured.assisted,
    )


class Kind(NamedTuple):
    """What two readings must share to be compared."""

    movement: Movement
    side: Side
    motion: Motion
    assisted: bool
    instrument: Instrument


def kind_of(reading: Reading) -> Kind:
    """The kind of a reading: movement, side, who moves, helped or not, class of instrument."""
    return Kind(
        reading.movement, reading.side, reading.motion, reading.assisted, reading.instrument
    )


class Label(StrEnum):
    """What a change is called."""

    GAINED = "gained"
    LOST = "lost"
    WITHIN_ERROR = "within_measurement_error"
    NOT_JUDGED = "not_judged"


class Against(StrEnum):
    """What a reading is compared with."""

    DISCHARGE = "discharge"
    BASELINE = "baseline"
    LAST = "last"
    BEST = "best"


class Comparison(msgspec.Struct, frozen=True, kw_only=True):
    """A reading against an alike one. ``change`` in degrees, negative where range was lost.

    ``threshold`` and ``policy`` are absent where the instrument is not judged.
    """

    against: Against
    reading_id: UUID
    degrees: int
    change: int
    same_rater: bool
    threshold: float | None
    policy: str
    label: Label


def label_change(change: float, limit: float) -> Label:
    """Lost or gained from the minimal detectable change on; below it, within measurement error."""
    if change >= limit:
        return Label.GAINED
    if change <= -limit:
        return Label.LOST
    return Label.WITHIN_ERROR


def compare(
    reading: Reading, other: Reading, against: Against, settings: MeasurementSettings
) -> Comparison:
    """One reading against one alike reading. The two must be of one kind."""
    if kind_of(reading) != kind_of(other):
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
        label=label_change(change, found[0]) if found else Label.NOT_JUDGED,
    )


def earlier_alike(reading: Reading, readings: Iterable[Reading]) -> list[Reading]:
    """Readings of the same kind taken before this one, oldest first."""
    wanted, order = kind_of(reading), reading.order
    return sorted(
        (
            r
            for r in readings
            if r.movement is wanted.movement and kind_of(r) == wanted and r.order < order
        ),
        key=lambda r: r.order,
    )


def _of_day(
    chosen: Reading, among: Sequence[Reading], rater: UUID, day: Callable[[datetime], object]
) -> Reading:
    """Of the readings taken on the chosen one's day, the same rater's if there is one."""
    if chosen.rater_id == rater:
        return chosen
    on = day(chosen.at)
    return next((r for r in reversed(among) if r.rater_id == rater and day(r.at) == on), chosen)


def compare_all(
    reading: Reading,
    readings: Iterable[Reading],
    settings: MeasurementSettings,
    *,
    day: Callable[[datetime], object],
    discharge: Reading | None = None,
) -> list[Comparison]:
    """Against discharge, baseline, last and best of its kind, as far as there are such.

    A pair of one rater outranks a pair of two: where the baseline's or the last
    one's day has a reading of the same rater too, that one is taken. ``day`` gives
    the local day of an instant.
    """
    before = earlier_alike(reading, readings)
    result: list[Comparison] = []
    if discharge is not None and kind_of(discharge) == kind_of(reading):
        result.append(compare(reading, discharge, Against.DISCHARGE, settings))
    if not before:
        return result
    rater = reading.rater_id
    best = max(before, key=lambda r: (r.degrees, r.rater_id == rater, r.order))
    chosen = {
        Against.BASELINE: _of_day(before[0], before, rater, day),
        Against.LAST: _of_day(before[-1], before, rater, day),
        Against.BEST: best,
    }
    result.extend(compare(reading, other, against, settings) for against, other in chosen.items())
    return result


def asks_second_reading(
    reading: Reading,
    readings: Iterable[Reading],
    settings: MeasurementSettings,
    *,
    day: Callable[[datetime], object],
) -> bool:
    """Whether the drop since the last alike reading asks for a second one that day.

    Asked once: a second reading by the same rater on the same day asks for no third.
    """
    on = day(reading.at)
    for earlier in reversed(earlier_alike(reading, readings)):
        if day(earlier.at) != on:
            return earlier.degrees - reading.degrees >= settings.second_reading_drop
        if earlier.rater_id == reading.rater_id:
            return False
    return False
