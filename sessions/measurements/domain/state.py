"""The measurements slice: readings, goals, posture and circumferences that count."""

from __future__ import annotations

from bisect import insort
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

import msgspec

from practice.core.decisions import Slice
from practice.core.events import EventOrder, RecordedEvent
from practice.core.terms import MotionType, Movement, Side
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain import events
from sessions.measurements.domain.comparison import (
    ComparableReading,
    ReadingKind,
    comparable_reading,
    reading_kind,
    taken_before,
)


class GoalState(msgspec.Struct, frozen=True, kw_only=True):
    """A goal that stands, with the time it was set."""

    occurred_at: datetime
    set: events.GoalSet


class PostureFindingState(msgspec.Struct, frozen=True, kw_only=True):
    """A posture finding with the time it was seen."""

    occurred_at: datetime
    recorded_at: datetime
    version: int
    found: events.PostureRecorded

    @property
    def order(self) -> EventOrder:
        """By time seen; ties in the order in which they were recorded."""
        return (self.occurred_at, self.recorded_at, self.version)


class CircumferencesState(msgspec.Struct, frozen=True, kw_only=True):
    """Circumferences of both arms with the time they were taken."""

    occurred_at: datetime
    recorded_at: datetime
    version: int
    measured: events.CircumferencesMeasured

    @property
    def order(self) -> EventOrder:
        """By time taken; ties in the order in which they were recorded."""
        return (self.occurred_at, self.recorded_at, self.version)


@dataclass
class MeasurementsBuilder:
    """What the fold changes. ``readings`` and those of each kind stand by time taken, as
    ``ComparableReading.order``."""

    readings: list[ComparableReading] = field(default_factory=list)
    alike: dict[ReadingKind, list[ComparableReading]] = field(default_factory=dict)
    by_id: dict[UUID, ComparableReading] = field(default_factory=dict)
    removed: set[UUID] = field(default_factory=set)
    goals: dict[UUID, GoalState] = field(default_factory=dict)
    findings: dict[UUID, PostureFindingState] = field(default_factory=dict)
    circumferences: dict[UUID, CircumferencesState] = field(default_factory=dict)


@dataclass(frozen=True)
class MeasurementsState:
    """Readings, findings and circumferences by time taken, oldest first; goals that stand by id.

    ``alike``: the readings of each kind, by time taken too.
    """

    readings: tuple[ComparableReading, ...]
    alike: dict[ReadingKind, tuple[ComparableReading, ...]]
    by_id: dict[UUID, ComparableReading]
    removed: frozenset[UUID]
    goals: dict[UUID, GoalState]
    findings: tuple[PostureFindingState, ...]
    circumferences: tuple[CircumferencesState, ...]

    def reading(self, reading_id: UUID) -> ComparableReading | None:
        """The reading with that id, if it counts."""
        return self.by_id.get(reading_id)

    def taken_before(self, reading: ComparableReading) -> Sequence[ComparableReading]:
        """The readings of its kind taken before it, by time taken."""
        return taken_before(reading, self.alike.get(reading_kind(reading), ()))

    def posture(self, finding_id: UUID) -> PostureFindingState | None:
        """The posture finding with that id, if it counts."""
        return next((f for f in self.findings if f.found.finding_id == finding_id), None)

    def latest_active(self, movement: Movement, side: Side) -> ComparableReading | None:
        """The latest active, unassisted reading of a movement on a side."""
        fitting = [
            r
            for r in self.readings
            if r.movement is movement
            and r.side is side
            and r.motion is MotionType.ACTIVE
            and not r.assisted
        ]
        return fitting[-1] if fitting else None

    def goal(self, movement: Movement, side: Side) -> events.GoalSet | None:
        """The range goal that stands for a movement on a side."""
        for goal in reversed(list(self.goals.values())):
            if (goal.set.kind, goal.set.movement, goal.set.side) == (
                events.GoalKind.RANGE,
                movement,
                side,
            ):
                return goal.set
        return None

    def latest_findings(self) -> dict[tuple[PostureKind, Side], events.PostureRecorded]:
        """The latest severity of every posture finding, by finding and side."""
        return {(f.found.finding, f.found.side): f.found for f in self.findings}


def _freeze(builder: MeasurementsBuilder) -> MeasurementsState:
    """By the time things happened; ties keep recorded order."""
    return MeasurementsState(
        readings=tuple(builder.readings),
        alike={kind: tuple(those) for kind, those in builder.alike.items()},
        by_id=dict(builder.by_id),
        removed=frozenset(builder.removed),
        goals=dict(builder.goals),
        findings=tuple(sorted(builder.findings.values(), key=lambda f: f.order)),
        circumferences=tuple(sorted(builder.circumferences.values(), key=lambda g: g.order)),
    )


MEASUREMENTS: Slice[MeasurementsBuilder, MeasurementsState] = Slice(
    "measurements", initial=MeasurementsBuilder, freeze=_freeze, watches=(events,)
)


@MEASUREMENTS.on(events.ReadingRecorded)
def reading_recorded(
    builder: MeasurementsBuilder, event: events.ReadingRecorded, meta: RecordedEvent
) -> None:
    reading = comparable_reading(
        event,
        reading_id=event.reading_id,
        occurred_at=meta.occurred_at,
        recorded_at=meta.recorded_at,
        version=meta.version,
    )
    builder.by_id[reading.reading_id] = reading
    alike = builder.alike.setdefault(reading_kind(reading), [])
    for those in (builder.readings, alike):
        # Most come in order; one for an earlier day is put where it belongs.
        if not those or those[-1].order <= reading.order:
            those.append(reading)
        else:
            insort(those, reading, key=lambda r: r.order)


@MEASUREMENTS.on(events.ReadingEnteredInError)
def reading_entered_in_error(
    builder: MeasurementsBuilder, event: events.ReadingEnteredInError, meta: RecordedEvent
) -> None:
    reading = builder.by_id.pop(event.reading_id, None)
    if reading is not None:
        builder.readings.remove(reading)
        builder.alike[reading_kind(reading)].remove(reading)
    builder.removed.add(event.reading_id)


@MEASUREMENTS.on(events.GoalSet)
def goal_set(builder: MeasurementsBuilder, event: events.GoalSet, meta: RecordedEvent) -> None:
    if event.replaces is not None:
        builder.goals.pop(event.replaces, None)
    builder.goals[event.goal_id] = GoalState(occurred_at=meta.occurred_at, set=event)


@MEASUREMENTS.on(events.PostureRecorded)
def posture_recorded(
    builder: MeasurementsBuilder, event: events.PostureRecorded, meta: RecordedEvent
) -> None:
    builder.findings[event.finding_id] = PostureFindingState(
        occurred_at=meta.occurred_at,
        recorded_at=meta.recorded_at,
        version=meta.version,
        found=event,
    )


@MEASUREMENTS.on(events.PostureEnteredInError)
def posture_entered_in_error(
    builder: MeasurementsBuilder, event: events.PostureEnteredInError, meta: RecordedEvent
) -> None:
    builder.findings.pop(event.finding_id, None)
    builder.removed.add(event.finding_id)


@MEASUREMENTS.on(events.CircumferencesMeasured)
def circumferences_measured(
    builder: MeasurementsBuilder, event: events.CircumferencesMeasured, meta: RecordedEvent
) -> None:
    builder.circumferences[event.circumferences_id] = CircumferencesState(
        occurred_at=meta.occurred_at,
        recorded_at=meta.recorded_at,
        version=meta.version,
        measured=event,
    )


@MEASUREMENTS.on(events.CircumferencesEnteredInError)
def circumferences_entered_in_error(
    builder: MeasurementsBuilder, event: events.CircumferencesEnteredInError, meta: RecordedEvent
) -> None:
    builder.circumferences.pop(event.circumferences_id, None)
    builder.removed.add(event.circumferences_id)
