"""How far range is short of its goals: what the session split and progress notes ask. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from practice.core.terms import Movement, Side
from sessions.measurements.domain.goals import default_goal
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
    pairs = sorted({(r.movement, r.side) for r in motion.readings})
    found: list[float] = []
    for movement, side in pairs:
        if side is not Side.BOTH and side not in sides:
            continue
        reading, goal = motion.latest_active(movement, side), goal_of(movement, side)
        if reading is not None and goal is not None:
            found.append(deficit(reading.degrees, goal))
    return tuple(found)
