"""Home exercises: assigned, discontinued by a person, or by itself when the permission narrows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from clients.clinical.domain.facts import CLIENT_FACTS, FACT_EVENTS, client_facts
from clients.identity.domain.state import IDENTITY
from clients.permissions.domain.results import SessionPermissions, StretchPermission
from practice.core.decisions import Context, Decided, Reactor, States
from practice.core.events import RecordedEvent
from practice.core.localtime import local_day
from practice.core.reasons import Rejected, invalid
from practice.core.terms import Mode, Side, Technique
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.places import AssessmentPlace
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.selectors.facilities import zone_of
from sessions.calendar.selectors.zones import current_zone
from sessions.measurements.services import check_session, rater_or_caller
from sessions.stretches.domain.commands import AssignHomeExercise
from sessions.stretches.domain.home_exercise_events import HomeExerciseAssigned
from sessions.stretches.domain.home_exercises import (
    decide_home_exercise_assignment,
    decide_home_exercise_discontinuation,
)
from sessions.stretches.domain.prescribing import prescribing_warnings
from sessions.stretches.domain.reactors import (
    NarrowedHomeExercises,
    discontinue_narrowed_home_exercises,
)
from sessions.stretches.domain.state import STRETCHES
from sessions.stretches.services.prescriptions import catalogue_facts

SLICES = (STRETCHES, *CLIENT_FACTS)
ASSIGNING = (*SLICES, CALENDAR)


@dataclass(frozen=True)
class AssignedExercise:
    """What is done at home, and who assigned it."""

    stretch: str
    side: Side
    assigned_by: UUID


def _permission(
    client_id: UUID, states: States, assigned: AssignedExercise, at: datetime
) -> StretchPermission | None:
    """What may be done of it by the client alone, if nothing new stands against it on the day.

    Without a facility on record the law of no place speaks, everything else does.
    """
    details = states[IDENTITY].details
    facility_id = next(iter(details.facility_ids), None) if details else None
    day = local_day(at, zone_of(facility_id))
    assessor = SessionAssessor(client_id, client_facts(states))
    if facility_id is None:
        case = assessor.alone(day)
    else:
        case = assessor.case(AssessmentPlace(assigned.assigned_by, facility_id, day))
    return _of_exercise(case.planned(), assigned)


def _permission_today(
    client_id: UUID, states: States, assigned: AssignedExercise, at: datetime
) -> StretchPermission | None:
    """The same by what was answered on arrival today, in whichever session."""
    details = states[IDENTITY].details
    facility_id = next(iter(details.facility_ids), None) if details else None
    day = local_day(at, zone_of(facility_id))
    assessor = SessionAssessor(client_id, client_facts(states))
    said = replace(assessor.day(states[CALENDAR], day), stop=None)
    return _of_exercise(assessor.alone(day, said).evaluated(), assigned)


def _of_exercise(
    evaluated: SessionPermissions, assigned: AssignedExercise
) -> StretchPermission | None:
    return evaluated.stretch_permission(assigned.stretch, Technique.ACTIVE_ISOLATED, assigned.side)


def home_exercise_assign(
    uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """Record a home exercise assigned to the client (AssignHomeExercise; by the caller
    unless another is named).

    Raises Rejected 409 ``not_permitted`` for one that the client may not do at all now, by
    what is on record or by what was answered today.
    """
    who = rater_or_caller(uow, command.get("assigned_by"), "assigned_by")
    exercise = AssignHomeExercise(**{**command, "assigned_by": who})
    uow.lock(client_id)
    if exercise.assigned_on > local_day(uow.now, current_zone(uow, client_id)):
        raise invalid("assigned_on", "That day has not come yet.")
    facts = catalogue_facts(exercise.stretch)
    assigned = AssignedExercise(exercise.stretch, exercise.side, exercise.assigned_by)

    def decide(states: States, ctx: Context) -> Decided:
        check_session(states, exercise.session_id)
        made = decide_home_exercise_assignment(states[STRETCHES], exercise, facts, ctx)
        for permission in (_permission, _permission_today):
            found = permission(client_id, states, assigned, ctx.now)
            if found is not None and found.mode is Mode.NOT_TODAY:
                text = "The client may not do this stretch now."
                raise Rejected("not_permitted", text, reasons=found.reasons)
        return made

    outcome = uow.execute(client_id, ASSIGNING, decide, if_match=if_match)
    outcome.entity_id = outcome.first(HomeExerciseAssigned).home_exercise_id
    outcome.warnings += prescribing_warnings((exercise.dose,), facts)
    return outcome


def home_exercise_discontinue(
    uow: UnitOfWork, *, client_id: UUID, home_exercise_id: UUID, command: Mapping[str, Any]
) -> Outcome:
    """Take a home exercise back, with the ``reason``. A fact that narrows: never refused as
    stale."""
    outcome = uow.execute(
        client_id,
        (STRETCHES,),
        lambda states, _: decide_home_exercise_discontinuation(
            states[STRETCHES], home_exercise_id, command["reason"]
        ),
    )
    outcome.entity_id = home_exercise_id
    return outcome


def _narrowed(client_id: UUID, states: States, rec: RecordedEvent) -> NarrowedHomeExercises:
    """The home exercises that may not be done any more, with the reasons as text."""
    found: Mapping[UUID, StretchPermission | None] = {
        key: _permission(
            client_id,
            states,
            AssignedExercise(one.stretch, one.side, one.assigned_by),
            rec.recorded_at,
        )
        for key, one in states[STRETCHES].home.items()
    }
    return {
        key: " ".join(reason.text for reason in stretch_permission.reasons)
        for key, stretch_permission in found.items()
        if stretch_permission is not None and stretch_permission.mode is Mode.NOT_TODAY
    }


DISCONTINUE_NARROWED_HOME_EXERCISES = Reactor(
    name="discontinue home exercises",
    on=FACT_EVENTS,
    slices=SLICES,
    react=discontinue_narrowed_home_exercises,
    lookup=_narrowed,
)
"""A fact that narrows discontinues what may not be done any more, in the same transaction."""
