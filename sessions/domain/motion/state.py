"""The slice ``motion``: readings, goals, posture and girths that count."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

import msgspec

from practice.domain.decisions import Slice
from practice.domain.events import Recorded
from practice.domain.terms import Motion, Movement, Side
from sessions.domain.catalogue.terms import Posture
from sessions.domain.motion.comparing import Reading, reading_of
from sessions.domain.motion.events import (
    GirthsEnteredInError,
    GirthsMeasured,
    GoalKind,
    GoalSet,
    PostureEnteredInError,
    PostureFound,
    ReadingEnteredInError,
    ReadingRecorded,
)


class Goal(msgspec.Struct, frozen=True, kw_only=True):
    """A goal that stands, with the time it was set."""

    at: datetime
    set: GoalSet


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """A posture finding with the time it was seen."""

    at: datetime
    version: int
    found: PostureFound


class Girths(msgspec.Struct, frozen=True, kw_only=True):
    """Girths of both arms with the time they were taken."""

    at: datetime
    version: int
    measured: GirthsMeasured


@dataclass
class MotionBuilder:
    """What the fold changes."""

    readings: dict[UUID, Reading] = field(default_factory=dict)
    removed: set[UUID] = field(default_factory=set)
    goals: dict[UUID, Goal] = field(default_factory=dict)
    findings: dict[UUID, Finding] = field(default_factory=dict)
    girths: dict[UUID, Girths] = field(default_factory=dict)


@dataclass(frozen=True)
class MotionState:
    """Readings, findings and girths by time taken, oldest first; goals that stand by id."""

    readings: tuple[Reading, ...]
    removed: frozenset[UUID]
    goals: dict[UUID, Goal]
    findings: tuple[Finding, ...]
    girths: tuple[Girths, ...]

    def reading(self, reading_id: UUID) -> Reading | None:
        """The reading with that id, if it counts."""
        return next((r for r in self.readings if r.reading_id == reading_id), None)

    def posture(self, finding_id: UUID) -> Finding | None:
        """The posture finding with that id, if it counts."""
        return next((f for f in self.findings if f.found.finding_id == finding_id), None)

    def latest_active(self, movement: Movement, side: Side) -> Reading | None:
        """The latest active, unassisted reading of a movement on a side."""
        fitting = [
            r
            for r in self.readings
            if r.movement is movement
            and r.side is side
            and r.motion is Motion.ACTIVE
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

    def latest_findings(self) -> dict[tuple[Posture, Side], PostureFound]:
        """The latest severity of every posture finding, by finding and side."""
        return {(f.found.finding, f.found.side): f.found for f in self.findings}


def _set_goal(builder: MotionBuilder, recorded: Recorded, goal: GoalSet) -> None:
    if goal.replaces is not None:
        builder.goals.pop(goal.replaces, None)
    builder.goals[goal.goal_id] = Goal(at=recorded.effective_at, set=goal)


def evolve(builder: MotionBuilder, recorded: Recorded) -> None:
    """Fold one event."""
    data, at, version = recorded.data, recorded.effective_at, recorded.version
    if isinstance(data, ReadingRecorded):
        builder.readings[data.reading_id] = reading_of(
            data, reading_id=data.reading_id, at=at, version=version
        )
    elif isinstance(data, ReadingEnteredInError):
        builder.readings.pop(data.reading_id, None)
        builder.removed.add(data.reading_id)
    elif isinstance(data, GoalSet):
        _set_goal(builder, recorded, data)
    elif isinstance(data, PostureFound):
        builder.findings[data.finding_id] = Finding(at=at, version=version, found=data)
    elif isinstance(data, PostureEnteredInError):
        builder.findings.pop(data.finding_id, None)
        builder.removed.add(data.finding_id)
    elif isinstance(data, GirthsMeasured):
        builder.girths[data.girths_id] = Girths(at=at, version=version, measured=data)
    elif isinstance(data, GirthsEnteredInError):
        builder.girths.pop(data.girths_id, None)
        builder.removed.add(data.girths_id)


def freeze(builder: MotionBuilder) -> MotionState:
    """Sort by the time things happened; ties keep recorded order."""
    return MotionState(
        readings=tuple(sorted(builder.readings.values(), key=lambda r: r.order)),
        removed=frozenset(builder.removed),
        goals=dict(builder.goals),
        findings=tuple(sorted(builder.findings.values(), key=lambda f: (f.at, f.version))),
        girths=tuple(sorted(builder.girths.values(), key=lambda g: (g.at, g.version))),
    )


MOTION: Slice[MotionBuilder, MotionState] = Slice(
    name="motion",
    folds=(
        ReadingRecorded,
        ReadingEnteredInError,
        GoalSet,
        PostureFound,
        PostureEnteredInError,
        GirthsMeasured,
        GirthsEnteredInError,
    ),
    initial=MotionBuilder,
    evolve=evolve,
    freeze=freeze,
)
