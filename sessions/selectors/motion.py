"""Questions on what was measured: readings with their labels, goals, girths judged."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from clients.domain.clinical import CLIENT_FACTS, client_facts
from practice.domain.decisions import Slice, States
from practice.domain.localtime import local_day
from practice.domain.terms import Instrument, Motion, Movement, Side
from practice.eventlog import loading
from sessions.domain.hour.history import operations, sides_at_risk
from sessions.domain.motion.comparing import (
    Comparison,
    Kind,
    Reading,
    asks_second_reading,
    compare_all,
    kind_of,
    reading_of,
)
from sessions.domain.motion.events import GirthsMeasured, GoalBasis
from sessions.domain.motion.followup import (
    Discharge,
    discharges_in,
    discharges_of,
    slices_followed,
)
from sessions.domain.motion.goals import GoalNumber, default_goal
from sessions.domain.motion.settings import ErrorPair, MeasurementSettings
from sessions.domain.motion.state import MOTION, Girths, MotionState
from sessions.domain.swelling.judging import SwellingJudgement, judge_girths
from sessions.models import Goal as GoalRow
from sessions.models import Reading as ReadingRow
from sessions.selectors.facilities import zone_of
from sessions.selectors.measurement import measurement_settings, norms, swelling_settings


def reading_of_row(row: ReadingRow) -> Reading:
    """The reading that a row of the read table stands for."""
    return reading_of(row, reading_id=row.pk, at=row.taken_at, version=row.version)


@dataclass(frozen=True)
class Discharges:
    """The discharge readings of a client's discharged stretches, latest discharge first."""

    by_kind: dict[Kind, list[tuple[datetime, Reading]]]

    def before(self, reading: Reading) -> Reading | None:
        """The discharge reading of its kind that stood when a reading was taken."""
        known = self.by_kind.get(kind_of(reading), [])
        return next((found for at, found in known if at <= reading.at), None)


def discharges_among(
    readings: Mapping[UUID, Reading], discharges: Iterable[Discharge]
) -> Discharges:
    """The discharge readings that re-checks are judged against, latest discharge first."""
    by_kind: dict[Kind, list[tuple[datetime, Reading]]] = {}
    ordered = sorted(discharges, key=lambda one: one.prescription_id)
    for one in sorted(ordered, key=lambda one: one.at, reverse=True):
        for reading_id in one.readings:
            found = readings.get(reading_id)
            if found is not None:
                by_kind.setdefault(kind_of(found), []).append((one.at, found))
    return Discharges(by_kind)


@dataclass(frozen=True)
class Labels:
    """What a reading's changes are called, and whether it asks for a second one that day."""

    comparisons: list[Comparison]
    second_reading: bool


def labelling_slices() -> tuple[Slice[Any, Any], ...]:
    """The slices that labels are made from."""
    return (MOTION, *slices_followed())


class Labeller:
    """Labels the readings of one client by all her readings and discharges."""

    def __init__(self, readings: Iterable[Reading], discharges: Iterable[Discharge]) -> None:
        self.readings = {one.reading_id: one for one in readings}
        self.discharges = discharges_among(self.readings, discharges)
        self.settings = measurement_settings()
        zone = zone_of(None)
        self.day: Callable[[datetime], date] = lambda at: local_day(at, zone)

    @classmethod
    def of_client(cls, client_id: UUID) -> Labeller:
        """From her read tables."""
        return cls(
            map(reading_of_row, ReadingRow.objects.filter(client_id=client_id)),
            (one for one in discharges_of(client_id) if one.stands),
        )

    @classmethod
    def of_states(cls, states: States) -> Labeller:
        """From what a command has folded already: ``labelling_slices()``."""
        return cls(states[MOTION].readings, discharges_in(states))

    def labels(self, reading_id: UUID) -> Labels:
        """The labels of one reading."""
        reading, all_readings = self.readings[reading_id], self.readings.values()
        discharge = self.discharges.before(reading)
        own = discharge is not None and discharge.reading_id == reading_id
        return Labels(
            compare_all(
                reading,
                all_readings,
                self.settings,
                day=self.day,
                discharge=None if own else discharge,
            ),
            asks_second_reading(reading, all_readings, self.settings, day=self.day),
        )


def goals_that_stand(client_id: UUID) -> Sequence[GoalRow]:
    """The goals that nothing has replaced."""
    return list(
        GoalRow.objects.filter(client_id=client_id, replaced_by=None).order_by("set_at", "id")
    )


def goal_for(
    client_id: UUID, movement: Movement, side: Side, settings: MeasurementSettings
) -> GoalNumber | None:
    """The goal of a movement on a side: the one that was set, else the default."""
    rows = [r for r in goals_that_stand(client_id) if (r.movement, r.side) == (movement, side)]
    for row in rows:
        if row.degrees is not None:
            return GoalNumber(row.degrees, GoalBasis(row.basis), row.source, row.edition)
    return default_goal(movement, settings, norms())


@dataclass(frozen=True)
class Strand:
    """Readings that are alike, in order of time: one class of instrument.

    ``own`` are those of one rater, of the discharge reading or else of the first one;
    ``foreign`` those of anybody else. ``error``: what a change must reach between
    readings of one rater, and of two; None where the practice holds no figure.
    """

    instrument: Instrument
    own: list[Reading]
    foreign: list[Reading]
    error: ErrorPair | None

    @property
    def readings(self) -> list[Reading]:
        """All of them in order of time."""
        return sorted([*self.own, *self.foreign], key=lambda one: one.order)


@dataclass(frozen=True)
class Series:
    """The unassisted readings of a movement on a side over time, with what a picture marks."""

    movement: Movement
    side: Side
    motion: Motion
    strands: list[Strand]
    goal: GoalNumber | None
    surgery: list[date]
    discharged: list[date]


def series(client_id: UUID, movement: Movement, side: Side, motion: Motion) -> Series:
    """The unassisted readings of a movement, those of each class of instrument by themselves."""
    settings = measurement_settings()
    rows = ReadingRow.objects.filter(
        client_id=client_id, movement=movement, side=side, motion=motion, assisted=False
    )
    readings = [reading_of_row(row) for row in rows.order_by("taken_at", "version")]
    discharges = discharges_of(client_id)
    client = client_facts(loading.load(client_id, CLIENT_FACTS))
    return Series(
        movement=movement,
        side=side,
        motion=motion,
        strands=_strands(readings, {key for one in discharges for key in one.readings}, settings),
        goal=goal_for(client_id, movement, side, settings),
        surgery=sorted(
            one.on for one in operations(client) if one.on and one.side in (side, Side.BOTH)
        ),
        discharged=sorted(
            one.on
            for one in discharges
            if movement in one.movements and one.side in (side, Side.BOTH)
        ),
    )


def _strands(
    readings: Sequence[Reading], references: set[UUID], settings: MeasurementSettings
) -> list[Strand]:
    """A strand for each class of instrument, the one with most readings first."""
    alike: dict[Instrument, list[Reading]] = {}
    for reading in readings:
        alike.setdefault(reading.instrument, []).append(reading)
    strands: list[Strand] = []
    for instrument, found in sorted(alike.items(), key=lambda one: (-len(one[1]), one[0])):
        at_discharge = [one for one in found if one.reading_id in references]
        rater = (at_discharge[-1:] or found)[0].rater_id
        strands.append(
            Strand(
                instrument=instrument,
                own=[one for one in found if one.rater_id == rater],
                foreign=[one for one in found if one.rater_id != rater],
                error=settings.errors.get(instrument),
            )
        )
    return strands


def girths_judged(client_id: UUID) -> list[tuple[Girths, SwellingJudgement]]:
    """Every set of girths with what it says, newest first."""
    states = loading.load(client_id, (MOTION, *CLIENT_FACTS))
    motion, client = states[MOTION], client_facts(states)
    settings, at_risk = swelling_settings(), sides_at_risk(client)
    known = [one.on for one in operations(client) if one.on is not None]
    judged: list[tuple[Girths, SwellingJudgement]] = []
    for one in reversed(motion.girths):
        months = _months(max(known), one.at.date()) if known else None
        found = judge_girths(
            one.measured,
            _baseline(motion, one),
            at_risk,
            settings,
            months_since_operation=months,
        )
        judged.append((one, found))
    return judged


def _months(since: date, day: date) -> float:
    return (day - since).days / 30.44


def _baseline(motion: MotionState, now: Girths) -> GirthsMeasured | None:
    """The latest baseline that was taken before, never the set itself."""
    earlier = [
        one.measured
        for one in motion.girths
        if one.measured.baseline and (one.at, one.version) < (now.at, now.version)
    ]
    return earlier[-1] if earlier else None
