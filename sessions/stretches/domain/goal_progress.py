"""Where a prescription stands against its goals: what proposes a discharge. Pure.

Only an active, unassisted reading at the goal proposes it; the practitioner decides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from practice.core.reasons import Audience, Reason
from practice.core.terms import MotionType, Movement, Side
from sessions.measurements.domain.comparison import ComparableReading
from sessions.measurements.domain.events import PostureSeverity
from sessions.measurements.domain.ranges import MIDLINE, movement_words
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.state import MeasurementsState
from sessions.stretches.domain.events import PostureReference, Reference
from sessions.stretches.domain.prescription_state import PrescriptionState, StretchStatus
from sessions.stretches.domain.recheck_dates import months_after
from sessions.stretches.domain.recheck_evaluation import sides_of

GoalOf = Callable[[Movement, Side], int | None]


@dataclass(frozen=True)
class GoalStandings:
    """What a discharge would stand on. ``short_of_goal`` and ``missing`` are sentences."""

    references: tuple[Reference, ...]
    postures: tuple[PostureReference, ...]
    pain: int | None
    short_of_goal: list[str]
    missing: list[str]
    pain_reading_id: UUID | None = None

    @property
    def at_goal(self) -> bool:
        """All at goal, and something was measured or seen."""
        measured = bool(self.references or self.postures or self.pain is not None)
        return measured and not self.short_of_goal and not self.missing


def latest_active(
    readings: Iterable[ComparableReading],
    movement: Movement,
    side: Side,
    at: datetime,
    settings: MeasurementSettings,
) -> ComparableReading | None:
    """The latest active, unassisted reading by then; preferred one that can be evaluated later."""
    fitting = [
        r
        for r in readings
        if (r.movement, r.side, r.motion) == (movement, side, MotionType.ACTIVE)
        and not r.assisted
        and r.occurred_at <= at
    ]
    evaluations = [r for r in fitting if r.instrument in settings.errors]
    return max(evaluations or fitting, key=lambda r: r.order, default=None)


def _measured_sides(movement: Movement, side: Side, motion: MeasurementsState) -> list[Side]:
    """The sides to look at: for a stretch of both, those with a reading or a goal."""
    if movement in MIDLINE:
        return [Side.BOTH]
    if side is not Side.BOTH:
        return [side]
    known = {r.side for r in motion.readings if r.movement is movement}
    known |= {
        g.set.side for g in motion.goals.values() if g.set.movement is movement and g.set.side
    }
    return sorted(known & {Side.LEFT, Side.RIGHT})


def _reference(reading: ComparableReading, *, at_goal: bool) -> Reference:
    return Reference(
        reading_id=reading.reading_id,
        movement=reading.movement,
        side=reading.side,
        motion=reading.motion,
        degrees=reading.degrees,
        instrument=reading.instrument,
        rater_id=reading.rater_id,
        position=reading.position,
        assisted=reading.assisted,
        at_goal=at_goal,
    )


def goal_standings(
    prescription: PrescriptionState,
    motion: MeasurementsState,
    goal_of: GoalOf,
    settings: MeasurementSettings,
    at: datetime,
) -> GoalStandings:
    """Where every movement, finding and pain that a stretch serves stood at a time."""
    prescribed = prescription.prescribed
    result = GoalStandings((), (), None, [], [])
    references: list[Reference] = []
    for movement in prescribed.movements:
        sides = _measured_sides(movement, prescribed.side, motion)
        if not sides:
            result.missing.append(movement_words(movement))
        for side in sides:
            reading = latest_active(motion.readings, movement, side, at, settings)
            if reading is None:
                result.missing.append(f"{movement_words(movement)} {side.value}")
                continue
            goal = goal_of(movement, side)
            reached = goal is not None and reading.degrees >= goal
            references.append(_reference(reading, at_goal=reached))
            if not reached:
                wanted = f"goal {goal}°" if goal is not None else "no goal"
                result.short_of_goal.append(
                    f"{movement_words(movement)} {side.value} {reading.degrees}°, {wanted}"
                )
    postures = _postures(prescription, motion, at, result)
    asked = _pain(prescription, motion, at, result)
    return GoalStandings(
        tuple(references),
        postures,
        asked.pain if asked else None,
        result.short_of_goal,
        result.missing,
        pain_reading_id=asked.reading_id if asked else None,
    )


def _postures(
    prescription: PrescriptionState, motion: MeasurementsState, at: datetime, result: GoalStandings
) -> tuple[PostureReference, ...]:
    found: list[PostureReference] = []
    for finding in prescription.prescribed.findings:
        seen = [
            f.found for f in motion.findings if f.found.finding is finding and f.occurred_at <= at
        ]
        if not seen:
            result.missing.append(finding.value.replace("_", " "))
            continue
        latest = seen[-1]
        found.append(
            PostureReference(
                finding=finding,
                severity=latest.severity,
                side=latest.side,
                finding_id=latest.finding_id,
            )
        )
        if latest.severity is not PostureSeverity.NONE:
            result.short_of_goal.append(
                f"{finding.value.replace('_', ' ')}: {latest.severity.value}"
            )
    return tuple(found)


def _pain(
    prescription: PrescriptionState, motion: MeasurementsState, at: datetime, result: GoalStandings
) -> ComparableReading | None:
    if not prescription.prescribed.eases_pain:
        return None
    sides = sides_of(prescription.prescribed.side)
    asked = [
        r for r in motion.readings if r.pain is not None and r.side in sides and r.occurred_at <= at
    ]
    if not asked or asked[-1].pain is None:
        result.missing.append("pain at a reading")
        return None
    pain = asked[-1].pain
    goals = [g.set.pain_at_most for g in motion.goals.values() if g.set.pain_at_most is not None]
    if pain > (goals[-1] if goals else 0):
        result.short_of_goal.append(f"pain {pain}")
    return asked[-1]


def proposes_discharge(prescription: PrescriptionState, found: GoalStandings) -> bool:
    """Whether discharge is proposed: an active stretch with all at goal."""
    return prescription.status is StretchStatus.ACTIVE and found.at_goal


def review_prompt(
    prescription: PrescriptionState,
    found: GoalStandings,
    settings: MeasurementSettings,
    now: datetime,
) -> Reason | None:
    """A prompt to review or refer: not at goal after the practice's months."""
    since = prescription.active_since
    if prescription.status is not StretchStatus.ACTIVE or since is None or found.at_goal:
        return None
    if months_after(since.date(), settings.goal_review_months) > now.date():
        return None
    return Reason(
        code="review_or_refer",
        text=(
            f"Not at goal after {settings.goal_review_months} months: review the stretch or refer."
        ),
        source="practice setting measurement.goal_review_months; practice policy",
        audience=Audience.CLINICAL,
    )
