"""The rows of treatment goals and of reports of home exercise. Pure."""

from __future__ import annotations

from uuid import UUID

import msgspec

from clients.identity.domain.rows import to_json
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection
from sessions.goals.domain import events
from sessions.goals.domain import goal as folding
from sessions.goals.domain.goal import TreatmentGoal

OF_GOALS = (
    events.TreatmentGoalSet,
    events.TreatmentGoalReviewed,
    events.TreatmentGoalReviewInError,
    events.TreatmentGoalEnteredInError,
)
OF_REPORTS = (events.HomeExerciseFollowed, events.HomeExerciseReportInError)
TREATMENT_GOAL_ROWS = Projection(
    "client_sessions.TreatmentGoal", watches=(events,), ignores=OF_REPORTS
)
HOME_REPORT_ROWS = Projection(
    "client_sessions.HomeExerciseReport", watches=(events,), ignores=OF_GOALS
)


@TREATMENT_GOAL_ROWS.on(events.TreatmentGoalSet)
def agreed(rows: ProjectedRows, event: events.TreatmentGoalSet, meta: RecordedEvent) -> None:
    _put(rows, folding.agreed(event, meta))


@TREATMENT_GOAL_ROWS.on(events.TreatmentGoalReviewed)
def reviewed(rows: ProjectedRows, event: events.TreatmentGoalReviewed, meta: RecordedEvent) -> None:
    if (one := _goal(rows, event.treatment_goal_id)) is not None:
        _put(rows, folding.reviewed(one, event, meta))


@TREATMENT_GOAL_ROWS.on(events.TreatmentGoalReviewInError)
def review_in_error(
    rows: ProjectedRows, event: events.TreatmentGoalReviewInError, meta: RecordedEvent
) -> None:
    if (one := _goal(rows, event.treatment_goal_id)) is not None:
        _put(rows, folding.review_in_error(one, event))


@TREATMENT_GOAL_ROWS.on(events.TreatmentGoalEnteredInError)
def in_error(
    rows: ProjectedRows, event: events.TreatmentGoalEnteredInError, meta: RecordedEvent
) -> None:
    if (one := _goal(rows, event.treatment_goal_id)) is not None:
        _put(rows, folding.in_error(one, event))


@HOME_REPORT_ROWS.on(events.HomeExerciseFollowed)
def followed(rows: ProjectedRows, event: events.HomeExerciseFollowed, meta: RecordedEvent) -> None:
    rows.put(
        event.report_id,
        {
            "home_exercise_id": event.home_exercise_id,
            "from_day": event.from_day,
            "to_day": event.to_day,
            "followed": event.followed,
            "times": event.times,
            "words": event.words,
            "session_id": event.session_id,
            "reported_by": meta.actor,
            "recorded_at": meta.recorded_at,
        },
    )


@HOME_REPORT_ROWS.on(events.HomeExerciseReportInError)
def report_in_error(
    rows: ProjectedRows, event: events.HomeExerciseReportInError, meta: RecordedEvent
) -> None:
    if rows.get(event.report_id) is not None:
        rows.change(event.report_id, in_error=event.reason)


def _goal(rows: ProjectedRows, goal_id: UUID) -> TreatmentGoal | None:
    row = rows.get(goal_id)
    return None if row is None else msgspec.convert(row["goal"], TreatmentGoal)


def _put(rows: ProjectedRows, goal: TreatmentGoal) -> None:
    reviews = goal.standing
    rows.put(
        goal.id,
        {
            "number": goal.number,
            "status": goal.status,
            "set_on": goal.set_on,
            "target_on": goal.content.target_on,
            "reviewed_on": reviews[-1].on if reviews else None,
            "goal": to_json(goal),
        },
    )
