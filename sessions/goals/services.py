"""Treatment goals and reports of home exercise on the client's record."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from clients.identity.domain.state import IDENTITY
from practice.core.decisions import Context, Decided, States
from practice.core.localtime import local_day
from practice.core.reasons import Rejected, existing
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.calendar.domain.state import CALENDAR
from sessions.goals.domain import commands, decisions, events
from sessions.goals.domain.decisions import OnRecord
from sessions.goals.domain.state import TREATMENT_GOALS, TreatmentGoalsState
from sessions.measurements.domain.state import MEASUREMENTS
from sessions.stretches.models import HomeExercise

Decide = Callable[[TreatmentGoalsState, OnRecord, Context], Decided]


def treatment_goal_set(uow: UnitOfWork, *, client_id: UUID, command: commands.SetGoal) -> Outcome:
    """A goal; ``entity_id`` of the outcome is its id."""
    done = _decided(
        uow, client_id, lambda state, known, ctx: decisions.set_goal(state, command, known, ctx)
    )
    done.entity_id = done.first(events.TreatmentGoalSet).treatment_goal_id
    return done


def treatment_goal_review(
    uow: UnitOfWork, *, client_id: UUID, treatment_goal_id: UUID, command: commands.ReviewGoal
) -> Outcome:
    """What a review found."""
    done = _decided(
        uow,
        client_id,
        lambda state, known, ctx: decisions.review_goal(
            state.goal(treatment_goal_id), command, known, ctx
        ),
    )
    done.entity_id = treatment_goal_id
    return done


def treatment_goal_review_take_back(
    uow: UnitOfWork, *, client_id: UUID, treatment_goal_id: UUID, command: commands.TakeReviewBack
) -> Outcome:
    """The last review does not count."""
    done = _decided(
        uow,
        client_id,
        lambda state, _known, _ctx: decisions.take_review_back(
            state.goal(treatment_goal_id), command
        ),
    )
    done.entity_id = treatment_goal_id
    return done


def treatment_goal_enter_in_error(
    uow: UnitOfWork, *, client_id: UUID, treatment_goal_id: UUID, command: commands.InError
) -> Outcome:
    """There was no such goal."""
    done = _decided(
        uow,
        client_id,
        lambda state, _known, _ctx: decisions.enter_goal_in_error(
            state.goal(treatment_goal_id), command
        ),
    )
    done.entity_id = treatment_goal_id
    return done


def home_exercise_report(
    uow: UnitOfWork,
    *,
    client_id: UUID,
    home_exercise_id: UUID,
    command: commands.ReportHomeExercise,
) -> Outcome:
    """What the client says of a home exercise, be it one that was discontinued since."""
    uow.lock(client_id)
    found = HomeExercise.objects.filter(pk=home_exercise_id, client_id=client_id).first()
    assigned_on = existing(found, "home exercise").assigned_on
    done = _decided(
        uow,
        client_id,
        lambda state, known, ctx: decisions.report_home_exercise(
            state, home_exercise_id, command, assigned_on, known, ctx
        ),
    )
    done.entity_id = done.first(events.HomeExerciseFollowed).report_id
    return done


def home_report_enter_in_error(
    uow: UnitOfWork, *, client_id: UUID, report_id: UUID, command: commands.InError
) -> Outcome:
    """A report does not count."""
    done = _decided(
        uow,
        client_id,
        lambda state, _known, _ctx: decisions.enter_report_in_error(state, report_id, command),
    )
    done.entity_id = report_id
    return done


def _decided(uow: UnitOfWork, client_id: UUID, decide: Decide) -> Outcome:
    def of_registered(states: States, ctx: Context) -> Decided:
        details = states[IDENTITY].details
        if details is None:
            raise Rejected("not_registered", "This client was never registered.")
        known = OnRecord(
            today=local_day(ctx.now, details.zone),
            measured_goals=states[MEASUREMENTS].goals.keys(),
            sessions=states[CALENDAR].sessions.keys(),
            birth_date=details.birth_date,
        )
        return decide(states[TREATMENT_GOALS], known, ctx)

    slices = (IDENTITY, CALENDAR, MEASUREMENTS, TREATMENT_GOALS)
    return uow.execute(client_id, slices, of_registered)
