"""The slice ``motion``: readings, goals, posture and girths that count."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

import msgspec

from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.terms import MotionType, Movement, Side
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.comparison import ComparableReading, comparable_reading
from sessions.measurements.domain.events import (
    CircumferencesEnteredInError,
    CircumferencesMeasured,
    GoalKind,
    GoalSet,
    PostureEnteredInError,
    PostureRecorded,
    ReadingEnteredInError,
    ReadingRecorded,
)


class GoalState(msgspec.Struct, frozen=True, kw_only=True):
    """A goal that stands, with the time it was set."""

    occurred_at: datetime
    set: GoalSet


class PostureFindingState(msgspec.Struct, frozen=True, kw_only=True):
    """A posture finding with the time it was seen."""

    occurred_at: datetime
    version: int
    found: PostureRecorded


class CircumferencesState(msgspec.Struct, frozen=True, kw_only=True):
    """Girths of both arms with the time they were taken."""

    occurred_at: datetime
    version: int
    measured: CircumferencesMeasured


@dataclass
class MeasurementsBuilder:
    """What the fold changes."""

    readings: dict[UUID, ComparableReading] = field(default_factory=dict)
    removed: set[UUID] = field(default_factory=set)
    goals: dict[UUID, GoalState] = field(default_factory=dict)
    findings: dict[UUID, PostureFindingState] = field(default_factory=dict)
    circumferences: dict[UUID, CircumferencesState] = field(default_factory=dict)


@dataclass(frozen=True)
class MeasurementsState:
    """Readings, findings and girths by time taken, oldest first; goals that stand by id."""

    readings: tuple[ComparableReading, ...]
    removed: frozenset[UUID]
    goals: dict[UUID, GoalState]
    findings: tuple[PostureFindingState, ...]
    circumferences: tuple[CircumferencesState, ...]

    def reading(self, reading_id: UUID) -> ComparableReading | None:
        """The reading with that id, if it counts."""
        return next((r for r in self.readings if r.reading_id == reading_id), None)

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

    def goal(self, movement: Movement, side: Side) -> GoalSet | None:
        """The range goal that stands for a movement on a side."""
        for goal in reversed(list(self.goals.values())):
            if (goal.set.kind, goal.set.movement, goal.set.side) == (
                GoalKind.RANGE,
                movement,
                side,
            ):
                return goal.set
        return None

    def latest_findings(self) -> dict[tuple[PostureKind, Side], PostureRecorded]:
        """The latest severity of every posture finding, by finding and side."""
        return {(f.found.finding, f.found.side): f.found for f in self.findings}


def _set_goal(builder: MeasurementsBuilder, recorded: RecordedEvent, goal: GoalSet) -> None:
    if goal.replaces is not None:
        builder.goals.pop(goal.replaces, None)
    builder.goals[goal.goal_id] = GoalState(occurred_at=recorded.occurred_at, set=goal)


def evolve(builder: MeasurementsBuilder, recorded: RecordedEvent) -> None:
    """Fold one event."""
    data, at, version = recorded.data, recorded.occurred_at, recorded.version
    if isinstance(data, ReadingRecorded):
        builder.readings[data.reading_id] = comparable_reading(
            data, reading_id=data.reading_id, occurred_at=at, version=version
        )
    elif isinstance(data, ReadingEnteredInError):
        builder.readings.pop(data.reading_id, None)
        builder.removed.add(data.reading_id)
    elif isinstance(data, GoalSet):
        _set_goal(builder, recorded, data)
    elif isinstance(data, PostureRecorded):
        builder.findings[data.finding_id] = PostureFindingState(
            occurred_at=at, version=version, found=data
        )
    elif isinstance(data, PostureEnteredInError):
        builder.findings.pop(data.finding_id, None)
        builder.removed.add(data.finding_id)
    elif isinstance(data, CircumferencesMeasured):
        builder.circumferences[data.circumferences_id] = CircumferencesState(
            occurred_at=at, version=version, measured=data
        )
    elif isinstance(data, CircumferencesEnteredInError):
        builder.circumferences.pop(data.circumferences_id, None)
        builder.removed.add(data.circumferences_id)


def freeze(builder: MeasurementsBuilder) -> MeasurementsState:
    """Sort by the time things happened; ties keep recorded order."""
    return MeasurementsState(
        readings=tuple(sorted(builder.readings.values(), key=lambda r: r.order)),
        removed=frozenset(builder.removed),
        goals=dict(builder.goals),
        findings=tuple(sorted(builder.findings.values(), key=lambda f: (f.occurred_at, f.version))),
        circumferences=tuple(
            sorted(builder.circumferences.values(), key=lambda g: (g.occurred_at, g.version))
        ),
    )


MEASUREMENTS: Slice[MeasurementsBuilder, MeasurementsState] = Slice(
    name="measurements",
    folds=(
        ReadingRecorded,
        ReadingEnteredInError,
        GoalSet,
        PostureRecorded,
        PostureEnteredInError,
        CircumferencesMeasured,
        CircumferencesEnteredInError,
    ),
    initial=MeasurementsBuilder,
    evolve=evolve,
    freeze=freeze,
)
