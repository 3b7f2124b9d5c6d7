"""Goals: their defaults, and where each number may come from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple
from uuid import UUID

from practice.core.reasons import Rejected, invalid
from practice.core.terms import MotionType, Movement, Side
from sessions.measurements.domain.comparison import ComparableReading
from sessions.measurements.domain.events import GoalBasis
from sessions.measurements.domain.norms import Norm, editions, find_norm
from sessions.measurements.domain.ranges import movement_words
from sessions.measurements.domain.settings import MeasurementSettings

OTHER_SIDE = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}


class GoalNumber(NamedTuple):
    """Degrees of a goal with basis, source, edition and the reading it was taken from."""

    degrees: int
    basis: GoalBasis
    source: str
    edition: str = ""
    reading_id: UUID | None = None


def default_goal(
    movement: Movement, settings: MeasurementSettings, norms: Iterable[Norm]
) -> GoalNumber | None:
    """Common practice where the practice has a number, else the norm of its chosen edition,
    else what everyday tasks need."""
    if movement in settings.default_goals:
        return GoalNumber(
            settings.default_goals[movement], GoalBasis.COMMON_PRACTICE, "common practice"
        )
    norm = find_norm(norms, movement, edition=settings.norm_edition)
    if norm is not None:
        return GoalNumber(norm.degrees, GoalBasis.NORM, norm.source, norm.edition)
    daily = settings.daily_life.degrees.get(movement)
    if daily is None:
        return None
    return GoalNumber(daily, GoalBasis.DAILY_LIFE, settings.daily_life.source)


def from_norm(
    movement: Movement,
    norms: Sequence[Norm],
    *,
    edition: str,
    age: int | None,
    sex: str | None,
) -> GoalNumber:
    """A published norm for the client's age and sex; 400 where the edition has none."""
    norm = find_norm(norms, movement, edition=edition, age=age, sex=sex)
    if norm is None:
        raise invalid(
            "edition",
            f"No norm for {movement_words(movement)} in '{edition}' fits this client. "
            f"Editions at hand: {', '.join(editions(norms))}.",
        )
    return GoalNumber(norm.degrees, GoalBasis.NORM, norm.source, norm.edition)


def from_daily_life(movement: Movement, settings: MeasurementSettings) -> GoalNumber:
    """What everyday tasks need; 400 where nothing is published for the movement."""
    degrees = settings.daily_life.degrees.get(movement)
    if degrees is None:
        known = ", ".join(movement_words(m) for m in settings.daily_life.degrees)
        raise invalid("basis", f"Enough for daily life is known for: {known}.")
    return GoalNumber(degrees, GoalBasis.DAILY_LIFE, settings.daily_life.source)


def from_other_side(
    movement: Movement,
    side: Side,
    readings: Iterable[ComparableReading],
    affected: frozenset[Side],
) -> GoalNumber:
    """The other side's latest active, unassisted reading; only where one side is affected."""
    other = OTHER_SIDE.get(side)
    if other is None:
        raise invalid("side", f"{movement_words(movement)} has no other side.")
    if other in affected:
        raise Rejected(
            "other_side_affected",
            f"The {other.value} side was operated on or treated too, so it is no measure.",
        )
    fitting = [
        r
        for r in readings
        if r.movement is movement
        and r.side is other
        and r.motion is MotionType.ACTIVE
        and not r.assisted
    ]
    if not fitting:
        raise invalid(
            "basis", f"Measure {movement_words(movement)} of the {other.value} side first."
        )
    latest = max(fitting, key=lambda r: r.order)
    return GoalNumber(
        latest.degrees,
        GoalBasis.OTHER_SIDE,
        f"{other.value} side",
        latest.occurred_at.date().isoformat(),
        latest.reading_id,
    )
