"""How far range is short of its goals: what the session split and progress notes ask. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from practice.core.terms import Movement, Side
from sessions.measurements.domain.comparison import (
    ChangeLabel,
    ComparableReading,
    label_change,
)
from sessions.measurements.domain.goals import default_goal
from sessions.measurements.domain.measurement_error import threshold
from sessions.measurements.domain.norms import Norm
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.state import MeasurementsState


def goal_lookup(
    motion: MeasurementsState, settings: MeasurementSettings, norms: Iterable[Norm]
) -> Callable[[Movement, Side], int | None]:
    """The goal in degrees of a movement on a side: the one that was set, else the default."""
    known = tuple(norms)

    def goal_of(movement: Movement, side: Side) -> int | None:
        found = motion.goal(movement, side)
        if found is not None:
            return found.degrees
        default = default_goal(movement, settings, known)
        return default.degrees if default else None

    return goal_of


def deficit(degrees: int, goal: int) -> float:
    """The missing share of a goal, 0 to 1."""
    return min(max((goal - degrees) / goal, 0.0), 1.0) if goal > 0 else 0.0


def deficits(
    motion: MeasurementsState,
    goal_of: Callable[[Movement, Side], int | None],
    sides: frozenset[Side],
) -> tuple[float, ...]:
    """The deficit of every movement measured on the given sides, midline ones included."""
    return tuple(
        deficit(reading.degrees, goal)
        for reading, goal in _with_goals(motion, goal_of)
        if reading.side is Side.BOTH or reading.side in sides
    )


def _with_goals(
    motion: MeasurementsState, goal_of: Callable[[Movement, Side], int | None]
) -> Iterator[tuple[ComparableReading, int]]:
    """The latest active reading of every movement and side that has a goal, with the goal."""
    for movement, side in sorted({(r.movement, r.side) for r in motion.readings}):
        reading, goal = motion.latest_active(movement, side), goal_of(movement, side)
        if reading is not None and goal is not None:
            yield reading, goal


@dataclass(frozen=True, kw_only=True)
class Shortfall:
    """A movement that is short of its goal by at least the measurement error. Degrees."""

    movement: Movement
    side: Side
    degrees: int
    goal: int


def shortfalls(
    motion: MeasurementsState,
    goal_of: Callable[[Movement, Side], int | None],
    settings: MeasurementSettings,
) -> list[Shortfall]:
    """Where range is short of its goal, beyond the error of one rater with that instrument."""
    return [
        Shortfall(movement=one.movement, side=one.side, degrees=one.degrees, goal=goal)
        for one, goal in _with_goals(motion, goal_of)
        if (error := threshold(one.instrument, same_rater=True, settings=settings)) is not None
        and label_change(one.degrees - goal, error[0]) is ChangeLabel.REGRESSED
    ]
