"""Decisions on the stretches: prescribe, start, discharge, bring back, end. Pure."""

from __future__ import annotations

from uuid import UUID

from practice.core.decisions import Context, Decided
from practice.core.reasons import invalid, not_found
from practice.core.terms import Technique
from sessions.catalogue.domain.doses import check_dose
from sessions.stretches.domain.commands import (
    AssignHomeExercise,
)
from sessions.stretches.domain.home_exercise_events import (
    HomeExerciseAssigned,
    HomeExerciseDiscontinued,
)
from sessions.stretches.domain.prescribing import (
    CatalogueFacts,
    check_stretch_side,
    standing_prescription,
)
from sessions.stretches.domain.state import StretchesState


def decide_home_exercise_assignment(
    state: StretchesState, command: AssignHomeExercise, facts: CatalogueFacts, ctx: Context
) -> Decided:
    """A home exercise: active isolated and self-directed, with signs to stop at."""
    check_stretch_side(facts.content, command.side)
    if command.dose.technique is not Technique.ACTIVE_ISOLATED:
        raise invalid("dose", "At home the client works alone: give a dose of active_isolated.")
    if Technique.ACTIVE_ISOLATED not in facts.content.techniques:
        raise invalid("stretch", "This stretch is not one that a client can do alone.")
    check_dose(command.dose)
    if not [sign for sign in command.stop_signs if sign.strip()]:
        raise invalid("stop_signs", "Name at least one sign at which the client stops.")
    if command.prescription_id is not None:
        standing_prescription(state, command.prescription_id)
    return [
        HomeExerciseAssigned(
            home_exercise_id=ctx.new_id(),
            prescription_id=command.prescription_id,
            stretch=command.stretch,
            name=facts.content.name,
            catalogue_version=facts.version,
            side=command.side,
            dose=command.dose,
            stop_signs=command.stop_signs,
            assigned_on=command.assigned_on,
            assigned_by=command.assigned_by,
            session_id=command.session_id,
        )
    ]


def decide_home_exercise_discontinuation(
    state: StretchesState, home_exercise_id: UUID, reason: str
) -> Decided:
    """A home exercise is discontinued; a repeat changes nothing."""
    if home_exercise_id in state.discontinued:
        return []
    if home_exercise_id not in state.home:
        raise not_found("home exercise")
    if not reason.strip():
        raise invalid("reason", "Say why it is discontinued.")
    return [HomeExerciseDiscontinued(home_exercise_id=home_exercise_id, reason=reason)]
