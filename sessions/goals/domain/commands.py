"""What practitioners ask of treatment goals and of reports of home exercise, as plain values."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from sessions.goals.domain.events import GoalContent
from sessions.goals.domain.terms import Followed, ReviewOutcome


class SetGoal(msgspec.Struct, frozen=True, kw_only=True):
    """A goal; ``set_on`` today where it is not given."""

    text: str
    words: str = ""
    target_on: date | None = None
    measured_by: tuple[UUID, ...] = ()
    set_on: date | None = None


class ReviewGoal(msgspec.Struct, frozen=True, kw_only=True):
    """What a review found; ``changed_to`` belongs to ``changed`` alone."""

    outcome: ReviewOutcome
    reason: str = ""
    words: str = ""
    changed_to: GoalContent | None = None
    reviewed_on: date | None = None
    session_id: UUID | None = None


class TakeReviewBack(msgspec.Struct, frozen=True, kw_only=True):
    """A review that does not count, and why."""

    review_id: UUID
    reason: str


class InError(msgspec.Struct, frozen=True, kw_only=True):
    """Why something was none."""

    reason: str


class ReportHomeExercise(msgspec.Struct, frozen=True, kw_only=True):
    """What the client says of a home exercise: since the last report, or since it was assigned,
    until today, where days are not given."""

    followed: Followed
    times: int | None = None
    words: str = ""
    from_day: date | None = None
    to_day: date | None = None
    session_id: UUID | None = None
