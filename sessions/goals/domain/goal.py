"""One treatment goal and what its reviews found; the same in the state and in the row. Pure."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from practice.core.events import RecordedEvent
from sessions.goals.domain import events
from sessions.goals.domain.events import GoalContent
from sessions.goals.domain.terms import Followed, GoalStatus, ReviewOutcome

ENDS = {ReviewOutcome.MET: GoalStatus.MET, ReviewOutcome.GIVEN_UP: GoalStatus.GIVEN_UP}


class GoalReview(msgspec.Struct, frozen=True, kw_only=True):
    """A review; ``by`` entered it, ``in_error``: why it does not count."""

    id: UUID
    outcome: ReviewOutcome
    on: date
    by: UUID
    reason: str = ""
    words: str = ""
    content: GoalContent | None = None
    session_id: UUID | None = None
    in_error: str = ""


class TreatmentGoal(msgspec.Struct, frozen=True, kw_only=True):
    """A goal as it stands; ``first`` is what was agreed on, ``reviews`` in order of entry."""

    id: UUID
    number: int
    first: GoalContent
    set_on: date
    set_by: UUID
    reviews: tuple[GoalReview, ...] = ()
    in_error: str = ""

    @property
    def standing(self) -> list[GoalReview]:
        """The reviews that count, in order of entry."""
        return [one for one in self.reviews if not one.in_error]

    @property
    def content(self) -> GoalContent:
        """What it is now: as changed last, else as agreed on."""
        changed = [one.content for one in self.standing if one.content is not None]
        return changed[-1] if changed else self.first

    @property
    def status(self) -> GoalStatus:
        """Where it stands by its last review that counts."""
        if self.in_error:
            return GoalStatus.IN_ERROR
        reviews = self.standing
        return ENDS.get(reviews[-1].outcome, GoalStatus.OPEN) if reviews else GoalStatus.OPEN


class HomeReport(msgspec.Struct, frozen=True, kw_only=True):
    """What was said of a home exercise; ``in_error``: why it does not count."""

    id: UUID
    home_exercise_id: UUID
    from_day: date
    to_day: date
    followed: Followed
    in_error: str = ""


def agreed(event: events.TreatmentGoalSet, meta: RecordedEvent) -> TreatmentGoal:
    """A goal that was just agreed on."""
    return TreatmentGoal(
        id=event.treatment_goal_id,
        number=event.number,
        first=event.content,
        set_on=event.set_on,
        set_by=meta.actor,
    )


def reviewed(
    goal: TreatmentGoal, event: events.TreatmentGoalReviewed, meta: RecordedEvent
) -> TreatmentGoal:
    """The goal after one more review."""
    review = GoalReview(
        id=event.review_id,
        outcome=event.outcome,
        on=event.reviewed_on,
        by=meta.actor,
        reason=event.reason,
        words=event.words,
        content=event.content,
        session_id=event.session_id,
    )
    return msgspec.structs.replace(goal, reviews=(*goal.reviews, review))


def review_in_error(goal: TreatmentGoal, event: events.TreatmentGoalReviewInError) -> TreatmentGoal:
    """The goal without a review that does not count."""
    reviews = tuple(
        msgspec.structs.replace(one, in_error=event.reason) if one.id == event.review_id else one
        for one in goal.reviews
    )
    return msgspec.structs.replace(goal, reviews=reviews)


def in_error(goal: TreatmentGoal, event: events.TreatmentGoalEnteredInError) -> TreatmentGoal:
    """The goal that was none."""
    return msgspec.structs.replace(goal, in_error=event.reason)


def home_report(event: events.HomeExerciseFollowed) -> HomeReport:
    """What was just said of a home exercise."""
    return HomeReport(
        id=event.report_id,
        home_exercise_id=event.home_exercise_id,
        from_day=event.from_day,
        to_day=event.to_day,
        followed=event.followed,
    )
