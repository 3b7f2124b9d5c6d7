"""Questions on what was measured: readings with their labels, goals, evaluated circumferences."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final
from uuid import UUID

from django.db.models import QuerySet

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.clinical.domain.operations import known_operations
from practice.clock import clock
from practice.core.decisions import Slice, States
from practice.core.localtime import local_day
from practice.core.terms import Instrument, MotionType, Movement, Side
from practice.work import loading
from sessions.calendar.selectors.facilities import zone_of
from sessions.measurements.domain.comparison import (
    ComparableReading,
    Comparison,
    ReadingKind,
    asks_second_reading,
    comparable_reading,
    compare_all,
    reading_kind,
    taken_before,
)
from sessions.measurements.domain.events import GoalBasis
from sessions.measurements.domain.follow_up import (
    Discharge,
    discharges_in,
    discharges_of,
    slices_followed,
)
from sessions.measurements.domain.goals import GoalNumber, default_goal
from sessions.measurements.domain.settings import ErrorPair, MeasurementSettings
from sessions.measurements.domain.state import MEASUREMENTS
from sessions.measurements.models import Goal as GoalRow
from sessions.measurements.models import Reading as ReadingRow
from sessions.measurements.selectors.settings import measurement_settings, norms

COLUMNS: Final = (
    *("pk", "taken_at", "recorded_at", "version", "session_id", "movement", "side", "motion"),
    *("degrees", "position", "instrument", "rater_id", "pain", "assisted"),
)
"""What a comparison needs of a row: thousands are read for it."""


def readings_in(rows: QuerySet[ReadingRow]) -> list[ComparableReading]:
    """The readings that rows of the read table stand for, by time taken."""
    in_order = rows.order_by("taken_at", "recorded_at", "version")
    return [reading_of_row(row) for row in in_order.values_list(*COLUMNS, named=True)]


def reading_of_row(row: Any) -> ComparableReading:
    """The reading that a row of the read table stands for, or its ``COLUMNS`` by name."""
    return comparable_reading(
        row,
        reading_id=row.pk,
        occurred_at=row.taken_at,
        recorded_at=row.recorded_at,
        version=row.version,
    )


@dataclass(frozen=True)
class DischargeReferences:
    """The discharge readings of a client's stretches, latest discharge first."""

    by_kind: dict[ReadingKind, list[tuple[Discharge, ComparableReading]]]

    def before(self, reading: ComparableReading) -> ComparableReading | None:
        """The discharge reading of its kind that stood when a reading was taken."""
        known = self.by_kind.get(reading_kind(reading), [])
        return next((found for one, found in known if one.stood_at(reading.occurred_at)), None)


def discharges_among(
    readings: Mapping[UUID, ComparableReading], discharges: Iterable[Discharge]
) -> DischargeReferences:
    """The discharge readings that re-checks are evaluated against, latest discharge first."""
    by_kind: dict[ReadingKind, list[tuple[Discharge, ComparableReading]]] = {}
    ordered = sorted(discharges, key=lambda one: one.prescription_id)
    for one in sorted(ordered, key=lambda one: one.occurred_at, reverse=True):
        for reading_id in one.readings:
            found = readings.get(reading_id)
            if found is not None:
                by_kind.setdefault(reading_kind(found), []).append((one, found))
    return DischargeReferences(by_kind)


@dataclass(frozen=True)
class ReadingLabels:
    """What a reading's changes are called, and whether it asks for a second one that day."""

    comparisons: list[Comparison]
    second_reading: bool


def labelling_slices() -> tuple[Slice[Any, Any], ...]:
    """The slices that labels are made from."""
    return (MEASUREMENTS, *slices_followed())


class ReadingLabeller:
    """Labels the readings of one client by all their readings and discharges."""

    def __init__(
        self,
        readings: Mapping[UUID, ComparableReading],
        alike: Mapping[ReadingKind, Sequence[ComparableReading]],
        discharges: Iterable[Discharge],
    ) -> None:
        self.readings, self._alike = readings, alike
        self.discharges = discharges_among(self.readings, discharges)
        self.settings = measurement_settings()
        zone = zone_of(None)
        self.day: Callable[[datetime], date] = lambda at: local_day(at, zone)

    @classmethod
    def of_client(cls, client_id: UUID, shown: Iterable[ReadingRow]) -> ReadingLabeller:
        """For a page of a client's readings, by what reads share of the record: a page costs the
        same however many readings there are. One that was marked in error since the page was
        read is labelled as it is shown."""
        found = cls.of_states(loading.load_states(client_id, labelling_slices()))
        found.readings = {one.pk: reading_of_row(one) for one in shown} | dict(found.readings)
        return found

    @classmethod
    def of_states(cls, states: States) -> ReadingLabeller:
        """From what a command has folded already: ``labelling_slices()``."""
        taken = states[MEASUREMENTS]
        return cls(taken.by_id, taken.alike, discharges_in(states))

    def labels(self, reading_id: UUID) -> ReadingLabels:
        """The labels of one reading."""
        reading = self.readings[reading_id]
        before = taken_before(reading, self._alike.get(reading_kind(reading), ()))
        discharge = self.discharges.before(reading)
        own = discharge is not None and discharge.reading_id == reading_id
        return ReadingLabels(
            compare_all(
                reading,
                before,
                self.settings,
                day=self.day,
                discharge=None if own else discharge,
            ),
            asks_second_reading(reading, before, self.settings, day=self.day),
        )


def current_goals(client_id: UUID) -> Sequence[GoalRow]:
    """The goals that nothing has replaced."""
    return list(
        GoalRow.objects.filter(client_id=client_id, replaced_by=None).order_by("set_at", "id")
    )


def goal_for(
    client_id: UUID, movement: Movement, side: Side, settings: MeasurementSettings
) -> GoalNumber | None:
    """The goal of a movement on a side: the one that was set, else the default."""
    rows = [r for r in current_goals(client_id) if (r.movement, r.side) == (movement, side)]
    for row in rows:
        if row.degrees is not None:
            return GoalNumber(row.degrees, GoalBasis(row.basis), row.source, row.edition)
    return default_goal(movement, settings, norms())


@dataclass(frozen=True)
class InstrumentSeries:
    """Readings that are alike, in order of time: one class of instrument.

    ``own`` are those of one rater, of the discharge reading or else of the first one;
    ``foreign`` those of anybody else. ``error``: what a change must reach between
    readings of one rater, and of two; None where the practice holds no figure.
    """

    instrument: Instrument
    own: list[ComparableReading]
    foreign: list[ComparableReading]
    error: ErrorPair | None

    @property
    def readings(self) -> list[ComparableReading]:
        """All of them in order of time."""
        return sorted([*self.own, *self.foreign], key=lambda one: one.order)


@dataclass(frozen=True)
class ReadingSeries:
    """The unassisted readings of a movement on a side over time, with what a picture marks."""

    movement: Movement
    side: Side
    motion: MotionType
    strands: list[InstrumentSeries]
    goal: GoalNumber | None
    surgery: list[date]
    discharged: list[date]


def reading_series(
    client_id: UUID, movement: Movement, side: Side, motion: MotionType
) -> ReadingSeries:
    """The unassisted readings of a movement, those of each class of instrument by themselves."""
    settings = measurement_settings()
    rows = ReadingRow.objects.filter(
        client_id=client_id, movement=movement, side=side, motion=motion, assisted=False
    )
    readings = readings_in(rows)
    discharges = discharges_of(client_id)
    client = client_facts(loading.load_states(client_id, CLIENT_FACTS))
    today = local_day(clock.now(), zone_of(None))
    return ReadingSeries(
        movement=movement,
        side=side,
        motion=motion,
        strands=_strands(readings, {key for one in discharges for key in one.readings}, settings),
        goal=goal_for(client_id, movement, side, settings),
        surgery=sorted(
            {
                one.on
                for one in known_operations(client, today)
                if one.on and one.side in (side, Side.BOTH)
            }
        ),
        discharged=sorted(
            one.on
            for one in discharges
            if movement in one.movements and one.side in (side, Side.BOTH)
        ),
    )


def _strands(
    readings: Sequence[ComparableReading], references: set[UUID], settings: MeasurementSettings
) -> list[InstrumentSeries]:
    """A strand for each class of instrument, the one with most readings first."""
    alike: dict[Instrument, list[ComparableReading]] = {}
    for reading in readings:
        alike.setdefault(reading.instrument, []).append(reading)
    strands: list[InstrumentSeries] = []
    for instrument, found in sorted(alike.items(), key=lambda one: (-len(one[1]), one[0])):
        at_discharge = [one for one in found if one.reading_id in references]
        rater = (at_discharge[-1:] or found)[0].rater_id
        strands.append(
            InstrumentSeries(
                instrument=instrument,
                own=[one for one in found if one.rater_id == rater],
                foreign=[one for one in found if one.rater_id != rater],
                error=settings.errors.get(instrument),
            )
        )
    return strands
