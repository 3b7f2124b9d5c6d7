"""A treatment goal agreed on, reviewed, put right; home exercise followed or not. Pure.

Whether a number was reached is judged where readings are; a review says what the practitioner
and the client find of it.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from clients.identity.domain import dates
from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected, existing, invalid
from sessions.goals.domain import commands, events
from sessions.goals.domain.events import GoalContent
from sessions.goals.domain.goal import TreatmentGoal
from sessions.goals.domain.state import TreatmentGoalsState
from sessions.goals.domain.terms import Followed, GoalStatus, ReviewOutcome


@dataclass(frozen=True, slots=True)
class OnRecord:
    """What a goal may name: the client's measured goals that stand, and sessions; ``today`` is
    the day of the client's own calendar."""

    today: date
    measured_goals: Collection[UUID]
    sessions: Collection[UUID]
    birth_date: date | None = None


def set_goal(
    state: TreatmentGoalsState, command: commands.SetGoal, known: OnRecord, ctx: Context
) -> Decided:
    """A goal with the client's next number. Raises Rejected 400 for what cannot be."""
    set_on = command.set_on or known.today
    dates.check_not_future("set_on", set_on, known.today)
    dates.check_within_lifetime("set_on", set_on, known.birth_date)
    content = GoalContent(
        text=command.text,
        words=command.words,
        target_on=command.target_on,
        measured_by=command.measured_by,
    )
    _check_content(content, "", set_on, known)
    return [
        events.TreatmentGoalSet(
            treatment_goal_id=ctx.new_id(),
            number=max((one.number for one in state.goals.values()), default=0) + 1,
            content=content,
            set_on=set_on,
        )
    ]


def review_goal(
    goal: TreatmentGoal, command: commands.ReviewGoal, known: OnRecord, ctx: Context
) -> Decided:
    """A review. Raises Rejected 409 for a goal that is open no more, 400 without the reason that
    all but ``met`` need."""
    if goal.status is not GoalStatus.OPEN:
        found = goal.status.replace("_", " ")
        raise Rejected("goal_not_open", f"This goal is {found}: take that back first.")
    day = command.reviewed_on or known.today
    dates.check_not_future("reviewed_on", day, known.today)
    last = max((one.on for one in goal.standing), default=goal.set_on)
    dates.check_order("reviewed_on", last, day)
    if command.outcome is not ReviewOutcome.MET and not command.reason:
        raise invalid("reason", "Say why, unless the goal is met.")
    _check_session(command.session_id, known)
    _check_change(goal, command, day, known)
    return [
        events.TreatmentGoalReviewed(
            treatment_goal_id=goal.id,
            review_id=ctx.new_id(),
            outcome=command.outcome,
            reviewed_on=day,
            reason=command.reason,
            words=command.words,
            content=command.changed_to,
            session_id=command.session_id,
        )
    ]


def take_review_back(goal: TreatmentGoal, command: commands.TakeReviewBack) -> Decided:
    """The last review does not count. Raises Rejected 409 for an earlier one: what came after
    stood on it."""
    _check_stands(goal)
    found = next((one for one in goal.reviews if one.id == command.review_id), None)
    review = existing(found, "review")
    if review.in_error:
        raise Rejected("review_in_error_already", "This review was taken back already.")
    if review.id != goal.standing[-1].id:
        raise Rejected("later_review", "A later review stands: take that back first.")
    return [
        events.TreatmentGoalReviewInError(
            treatment_goal_id=goal.id, review_id=review.id, reason=command.reason
        )
    ]


def enter_goal_in_error(goal: TreatmentGoal, command: commands.InError) -> Decided:
    """There was no such goal. Raises Rejected 409 where that is on record already."""
    _check_stands(goal)
    return [events.TreatmentGoalEnteredInError(treatment_goal_id=goal.id, reason=command.reason)]


def report_home_exercise(
    state: TreatmentGoalsState,
    exercise_id: UUID,
    command: commands.ReportHomeExercise,
    assigned_on: date,
    known: OnRecord,
    ctx: Context,
) -> Decided:
    """What was done at home on some days. Raises Rejected 400 for days before it was assigned or
    to come, and for a number that contradicts the answer; 409 for days reported already."""
    told = [
        one
        for one in state.reports.values()
        if one.home_exercise_id == exercise_id and not one.in_error
    ]
    to_day = command.to_day or known.today
    next_day = max((one.to_day + timedelta(days=1) for one in told), default=assigned_on)
    first = command.from_day or min(next_day, to_day)
    dates.check_not_future("to_day", to_day, known.today)
    dates.check_order("to_day", first, to_day)
    dates.check_order("from_day", assigned_on, first)
    if (command.followed is Followed.NOT_DONE) != (command.times == 0) and (
        command.times is not None
    ):
        raise invalid("times", "Not done is 0 times, and done at all is 1 or more.")
    _check_session(command.session_id, known)
    if any(one.from_day <= to_day and first <= one.to_day for one in told):
        raise Rejected("days_reported", "Some of these days were reported already.")
    return [
        events.HomeExerciseFollowed(
            report_id=ctx.new_id(),
            home_exercise_id=exercise_id,
            from_day=first,
            to_day=to_day,
            followed=command.followed,
            times=command.times,
            words=command.words,
            session_id=command.session_id,
        )
    ]


def enter_report_in_error(
    state: TreatmentGoalsState, report_id: UUID, command: commands.InError
) -> Decided:
    """A report that does not count. Raises Rejected 409 where that is on record already."""
    report = state.report(report_id)
    if report.in_error:
        raise Rejected("report_in_error_already", "This report was taken back already.")
    return [events.HomeExerciseReportInError(report_id=report.id, reason=command.reason)]


def _check_content(content: GoalContent, within: str, since: date, known: OnRecord) -> None:
    dates.check_order(f"{within}target_on", since, content.target_on)
    if not set(content.measured_by) <= set(known.measured_goals):
        raise invalid(
            f"{within}measured_by", "Name goals of this client that stand, from its goals."
        )


def _check_change(
    goal: TreatmentGoal, command: commands.ReviewGoal, day: date, known: OnRecord
) -> None:
    if (command.outcome is ReviewOutcome.CHANGED) != (command.changed_to is not None):
        raise invalid("changed_to", "Belongs to a goal that is changed, and to no other.")
    if command.changed_to is None:
        return
    if command.changed_to == goal.content:
        raise Rejected("nothing_changed", "This is what the goal is already.")
    _check_content(command.changed_to, "changed_to.", day, known)


def _check_session(session_id: UUID | None, known: OnRecord) -> None:
    if session_id is not None and session_id not in known.sessions:
        raise invalid("session_id", "This client has no such session.")


def _check_stands(goal: TreatmentGoal) -> None:
    if goal.status is GoalStatus.IN_ERROR:
        raise Rejected("goal_in_error", "The goal was entered in error: nothing is added.")
