"""What is measured on a client: range of motion, goals, posture, arm circumferences."""

from __future__ import annotations

from enum import StrEnum
from uuid import UUID

from practice.core.confirmation import ConfirmedWarning
from practice.core.events import Event, event
from practice.core.terms import BodyPosition, Instrument, MotionType, Movement, Side
from sessions.catalogue.domain.terms import PostureKind


class GoalKind(StrEnum):
    """What a goal is about."""

    RANGE = "range"
    POSTURE = "posture"
    PAIN = "pain"


class GoalBasis(StrEnum):
    """Where the number of a goal comes from."""

    COMMON_PRACTICE = "common_practice"
    NORM = "norm"
    OTHER_SIDE = "other_side"
    DAILY_LIFE = "daily_life"
    NUMBER = "number"


class PostureSeverity(StrEnum):
    """How marked a posture finding is; NONE where it was looked for and is not there."""

    NONE = "none"
    MILD = "mild"
    MODERATE = "moderate"
    SEVERE = "severe"


class SwellingStage(StrEnum):
    """ISL stage of swelling, as the practitioner records it."""

    STAGE_0 = "0"
    STAGE_I = "I"
    STAGE_II = "II"
    STAGE_III = "III"


@event("reading.recorded")
class ReadingRecorded(Event, frozen=True, kw_only=True):
    """One reading of a range, in whole degrees.

    ``assisted``: somebody or the other arm helped, so an active reading is not
    the client's own. ``pain`` is 0 to 10 while measured. ``confirmed_unlikely``:
    the rater confirmed a value outside what is usual. ``confirmed``: every warning that was
    confirmed when it was recorded.
    """

    reading_id: UUID
    session_id: UUID | None = None
    movement: Movement
    side: Side
    motion: MotionType
    degrees: int
    position: BodyPosition
    instrument: Instrument
    rater_id: UUID
    pain: int | None = None
    assisted: bool = False
    confirmed_unlikely: bool = False
    new_pain: bool = False
    new_swelling: bool = False
    explanation: str = ""
    confirmed: tuple[ConfirmedWarning, ...] = ()


@event("reading.entered_in_error")
class ReadingEnteredInError(Event, frozen=True, kw_only=True):
    """A reading that must not count; it stays in the history."""

    reading_id: UUID
    reason: str


@event("goal.set")
class GoalSet(Event, frozen=True, kw_only=True):
    """A goal; a changed goal is a new one that names the one it replaces.

    RANGE has movement, side and degrees; POSTURE has the finding that is to be
    gone; PAIN has the greatest pain (0 to 10) that still meets it.
    """

    goal_id: UUID
    kind: GoalKind = GoalKind.RANGE
    movement: Movement | None = None
    side: Side | None = None
    degrees: int | None = None
    finding: PostureKind | None = None
    pain_at_most: int | None = None
    basis: GoalBasis
    source: str
    edition: str = ""
    reason: str = ""
    reading_id: UUID | None = None
    replaces: UUID | None = None


@event("posture.recorded")
class PostureRecorded(Event, frozen=True, kw_only=True):
    """One posture finding with its severity that day."""

    finding_id: UUID
    session_id: UUID | None = None
    finding: PostureKind
    description: str = ""
    side: Side = Side.BOTH
    severity: PostureSeverity
    observer_id: UUID
    confirmed: tuple[ConfirmedWarning, ...] = ()


@event("posture.entered_in_error")
class PostureEnteredInError(Event, frozen=True, kw_only=True):
    """A posture finding that must not count; it stays in the history."""

    finding_id: UUID
    reason: str


@event("circumferences.measured")
class CircumferencesMeasured(Event, frozen=True, kw_only=True):
    """Circumferences of both arms in cm, from the wrist upwards, ``interval_cm`` apart.

    ``baseline``: measured before the operation. ``new_heaviness`` as the client
    says it today. ``stage`` as the practitioner records it.
    """

    circumferences_id: UUID
    session_id: UUID | None = None
    interval_cm: float
    left: tuple[float, ...]
    right: tuple[float, ...]
    baseline: bool = False
    new_heaviness: bool = False
    stage: SwellingStage | None = None
    stage_side: Side | None = None
    rater_id: UUID
    confirmed: tuple[ConfirmedWarning, ...] = ()


@event("circumferences.entered_in_error")
class CircumferencesEnteredInError(Event, frozen=True, kw_only=True):
    """A set of circumferences that must not count; it stays in the history."""

    circumferences_id: UUID
    reason: str
