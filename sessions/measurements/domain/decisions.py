"""Decisions on what is measured: readings, goals, posture, circumferences. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

import msgspec

from practice.core.confirmation import ConfirmedWarning, settled
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent, Event
from practice.core.reasons import Rejected, invalid, not_found
from practice.core.terms import Movement, Side
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain import goals
from sessions.measurements.domain.commands import (
    RecordCircumferences,
    RecordPosture,
    RecordReading,
    SetGoal,
)
from sessions.measurements.domain.confirmation import doubts_of_profile, last_taken_alike
from sessions.measurements.domain.events import (
    CircumferencesEnteredInError,
    CircumferencesMeasured,
    GoalBasis,
    GoalKind,
    GoalSet,
    PostureEnteredInError,
    PostureRecorded,
    ReadingEnteredInError,
    ReadingRecorded,
)
from sessions.measurements.domain.norms import Norm
from sessions.measurements.domain.ranges import (
    check_degrees,
    check_instrument,
    check_side,
    unlikely_text,
)
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.state import MeasurementsState
from sessions.measurements.domain.swelling_settings import SwellingSettings
from sessions.measurements.domain.volume import check_circumferences


def dated_event(event: Event, at: datetime | None, ctx: Context) -> DatedEvent:
    """The event at the time it happened; a time in the future is 400."""
    if at is not None and at > ctx.now:
        raise invalid(
            "occurred_at", f"That time has not come yet; it is {ctx.now.isoformat()} now."
        )
    return DatedEvent(event, at or ctx.now)


def check_pain(pain: int | None, field: str = "pain") -> None:
    """Refuse pain outside 0 to 10 (400)."""
    if pain is not None and not 0 <= pain <= 10:
        raise invalid(field, "Pain is a whole number from 0 (none) to 10 (worst).")


def decide_reading(
    command: RecordReading, settings: MeasurementSettings, ctx: Context
) -> list[DatedEvent]:
    """The reading at the time it was taken. Impossible or unconfirmed unlikely values are 400."""
    check_side(command.movement, command.side)
    check_instrument(command.instrument)
    check_pain(command.pain)
    unlikely = check_degrees(
        command.movement, command.degrees, settings, confirmed=command.confirmed_unlikely
    )
    confirmed = command.confirmed
    if unlikely:
        text = unlikely_text(command.movement, command.degrees, settings)
        confirmed += (ConfirmedWarning(code="unlikely_degrees", text=text, by=ctx.actor.id),)
    event = ReadingRecorded(
        reading_id=command.reading_id or ctx.new_id(),
        session_id=command.session_id,
        movement=command.movement,
        side=command.side,
        motion=command.motion,
        degrees=command.degrees,
        position=command.position,
        instrument=command.instrument,
        rater_id=command.rater_id,
        pain=command.pain,
        assisted=command.assisted,
        confirmed_unlikely=unlikely,
        new_pain=command.new_pain,
        new_swelling=command.new_swelling,
        explanation=command.explanation,
        confirmed=confirmed,
    )
    return [dated_event(event, command.occurred_at, ctx)]


def _must_stand(known: bool, what: str, reason: str) -> None:
    if not known:
        raise not_found(what)
    if not reason.strip():
        raise invalid("reason", "Say why it must not count.")


def decide_reading_in_error(state: MeasurementsState, reading_id: UUID, reason: str) -> Decided:
    """A reading is taken out of the clinical view; a repeat changes nothing."""
    if reading_id in state.removed:
        return []
    _must_stand(state.reading(reading_id) is not None, "reading", reason)
    return [ReadingEnteredInError(reading_id=reading_id, reason=reason)]


@dataclass(frozen=True, kw_only=True)
class GoalFacts:
    """What a goal is calculated from: settings, norms, the client's age in years and operated
    sides."""

    settings: MeasurementSettings
    norms: Sequence[Norm]
    age: int | None = None
    affected: frozenset[Side] = frozenset()


def _number(
    command: SetGoal, movement: Movement, side: Side, state: MeasurementsState, facts: GoalFacts
) -> goals.GoalNumber:
    if command.basis is not GoalBasis.NUMBER and command.degrees is not None:
        raise invalid("degrees", "Give degrees only with basis 'number'.")
    if command.basis is GoalBasis.NUMBER:
        if command.degrees is None:
            raise invalid("degrees", "Basis 'number' needs the degrees.")
        if not command.reason.strip():
            raise invalid("reason", "Say why this number is the goal.")
        check_degrees(movement, command.degrees, facts.settings, confirmed=True)
        return goals.GoalNumber(command.degrees, GoalBasis.NUMBER, "practitioner")
    if command.basis is GoalBasis.OTHER_SIDE:
        return goals.from_other_side(movement, side, state.readings, facts.affected)
    if command.basis is GoalBasis.DAILY_LIFE:
        return goals.from_daily_life(movement, facts.settings)
    if command.basis is GoalBasis.NORM:
        edition = command.edition or facts.settings.norm_edition
        return goals.from_norm(
            movement, facts.norms, edition=edition, age=facts.age, sex=command.sex
        )
    found = goals.default_goal(movement, facts.settings, facts.norms)
    if found is None:
        raise invalid("basis", "There is no default for this movement: give a number.")
    return found


def _range_goal(
    command: SetGoal, state: MeasurementsState, facts: GoalFacts, ctx: Context
) -> GoalSet:
    if command.movement is None or command.side is None:
        raise invalid("movement", "A goal of range needs the movement and the side.")
    check_side(command.movement, command.side)
    number = _number(command, command.movement, command.side, state, facts)
    status = state.goal(command.movement, command.side)
    return GoalSet(
        goal_id=ctx.new_id(),
        movement=command.movement,
        side=command.side,
        degrees=number.degrees,
        basis=number.basis,
        source=number.source,
        edition=number.edition,
        reason=command.reason,
        reading_id=number.reading_id,
        replaces=status.goal_id if status else None,
    )


def decide_goal(
    state: MeasurementsState, command: SetGoal, facts: GoalFacts, ctx: Context
) -> Decided:
    """A new goal, replacing the one that stands for the same thing."""
    if command.kind is GoalKind.RANGE:
        event = _range_goal(command, state, facts, ctx)
    else:
        event = GoalSet(
            goal_id=ctx.new_id(),
            kind=command.kind,
            finding=_finding(command),
            pain_at_most=_pain_at_most(command),
            basis=GoalBasis.COMMON_PRACTICE,
            source="common practice",
            reason=command.reason,
            replaces=_standing(state, command),
        )
    return [dated_event(event, command.occurred_at, ctx)]


def _standing(state: MeasurementsState, command: SetGoal) -> UUID | None:
    """The goal of posture or pain that a new one takes the place of."""
    wanted = (command.kind, _finding(command))
    found = [key for key, g in state.goals.items() if (g.set.kind, g.set.finding) == wanted]
    return found[-1] if found else None


def _finding(command: SetGoal) -> PostureKind | None:
    if command.kind is GoalKind.PAIN:
        return None
    if command.finding is None:
        raise invalid("finding", "A goal of posture needs the finding that is to be gone.")
    return command.finding


def _pain_at_most(command: SetGoal) -> int | None:
    if command.kind is GoalKind.POSTURE:
        return None
    check_pain(command.pain_at_most, "pain_at_most")
    return command.pain_at_most if command.pain_at_most is not None else 0


def decide_posture(command: RecordPosture, ctx: Context) -> Decided:
    """A posture finding with its severity that day."""
    if command.finding is PostureKind.OTHER and not command.description.strip():
        raise invalid("description", "Say what is seen.")
    event = PostureRecorded(
        finding_id=ctx.new_id(),
        session_id=command.session_id,
        finding=command.finding,
        description=command.description,
        side=command.side,
        severity=command.severity,
        observer_id=command.observer_id,
        confirmed=command.confirmed,
    )
    return [dated_event(event, command.occurred_at, ctx)]


def decide_posture_in_error(state: MeasurementsState, finding_id: UUID, reason: str) -> Decided:
    """A posture finding is taken out of the clinical view; a repeat changes nothing."""
    if finding_id in state.removed:
        return []
    known = any(f.found.finding_id == finding_id for f in state.findings)
    _must_stand(known, "posture finding", reason)
    return [PostureEnteredInError(finding_id=finding_id, reason=reason)]


def decide_circumferences(
    state: MeasurementsState,
    command: RecordCircumferences,
    settings: SwellingSettings,
    ctx: Context,
) -> Decided:
    """Circumferences of both arms; impossible or unconfirmed unlikely ones are 400."""
    check_circumferences(command.left, command.right, command.interval_cm, settings)
    if (command.stage is None) != (command.stage_side is None):
        raise Rejected(
            "invalid",
            "A stage of swelling is recorded with its side.",
            status=400,
            fields={"stage_side": "give stage and stage_side together"},
        )
    event = CircumferencesMeasured(
        circumferences_id=command.circumferences_id or ctx.new_id(),
        session_id=command.session_id,
        interval_cm=command.interval_cm,
        left=command.left,
        right=command.right,
        baseline=command.baseline,
        new_heaviness=command.new_heaviness,
        stage=command.stage,
        stage_side=command.stage_side,
        rater_id=command.rater_id,
    )
    doubts = doubts_of_profile(event, last_taken_alike(state, event), settings)
    profile = settled(doubts, ctx.actor.id, confirmed=command.confirmed_unlikely)
    event = msgspec.structs.replace(event, confirmed=(*command.confirmed, *profile))
    return [dated_event(event, command.occurred_at, ctx)]


def decide_circumferences_in_error(
    state: MeasurementsState, circumferences_id: UUID, reason: str
) -> Decided:
    """Circumferences are taken out of the clinical view; a repeat changes nothing."""
    if circumferences_id in state.removed:
        return []
    known = any(g.measured.circumferences_id == circumferences_id for g in state.circumferences)
    _must_stand(known, "set of circumferences", reason)
    return [CircumferencesEnteredInError(circumferences_id=circumferences_id, reason=reason)]
