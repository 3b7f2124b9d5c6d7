"""What the client wants to reach, what reviews found of it, and home exercise done or not."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from practice.core.events import Event, event
from sessions.goals.domain.terms import Followed, ReviewOutcome


class GoalContent(msgspec.Struct, frozen=True, kw_only=True):
    """A goal: ``text`` as it can be judged, ``words`` as the client said it. ``measured_by``:
    the goals in degrees, posture or pain on record by which it is measured."""

    text: str
    words: str = ""
    target_on: date | None = None
    measured_by: tuple[UUID, ...] = ()


@event("treatment_goal.set")
class TreatmentGoalSet(Event, frozen=True, kw_only=True):
    """A goal was agreed on. ``number`` counts the client's goals; it and the id stay for ever."""

    treatment_goal_id: UUID
    number: int
    content: GoalContent
    set_on: date


@event("treatment_goal.reviewed")
class TreatmentGoalReviewed(Event, frozen=True, kw_only=True):
    """A goal was looked at; ``content``: what it is from then on, where it was changed."""

    treatment_goal_id: UUID
    review_id: UUID
    outcome: ReviewOutcome
    reviewed_on: date
    reason: str = ""
    words: str = ""
    content: GoalContent | None = None
    session_id: UUID | None = None


@event("treatment_goal.review_in_error")
class TreatmentGoalReviewInError(Event, frozen=True, kw_only=True):
    """A review that does not count; the goal stands as before it."""

    treatment_goal_id: UUID
    review_id: UUID
    reason: str


@event("treatment_goal.entered_in_error")
class TreatmentGoalEnteredInError(Event, frozen=True, kw_only=True):
    """There was no such goal; its number is not given again."""

    treatment_goal_id: UUID
    reason: str


@event("home_exercise.followed")
class HomeExerciseFollowed(Event, frozen=True, kw_only=True):
    """What the client said of a home exercise for some days; ``times``: how often in them."""

    report_id: UUID
    home_exercise_id: UUID
    from_day: date
    to_day: date
    followed: Followed
    times: int | None = None
    words: str = ""
    session_id: UUID | None = None


@event("home_exercise.report_in_error")
class HomeExerciseReportInError(Event, frozen=True, kw_only=True):
    """A report that does not count."""

    report_id: UUID
    reason: str
