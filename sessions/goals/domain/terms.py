"""The words of treatment goals, as closed lists. A value stands in events and is never renamed."""

from __future__ import annotations

from enum import StrEnum


class ReviewOutcome(StrEnum):
    """What a review found; ``CHANGED``: the goal is another from then on, with the same id."""

    MET = "met"
    NOT_MET = "not_met"
    CHANGED = "changed"
    GIVEN_UP = "given_up"


class GoalStatus(StrEnum):
    """Where a goal stands."""

    OPEN = "open"
    MET = "met"
    GIVEN_UP = "given_up"
    IN_ERROR = "in_error"


class Followed(StrEnum):
    """How the client did a home exercise."""

    AS_ASSIGNED = "as_assigned"
    PARTLY = "partly"
    NOT_DONE = "not_done"
