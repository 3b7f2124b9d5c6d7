"""What a practitioner asks to record: inputs of the decisions.

``occurred_at`` is when it happened, ``confirmed`` what the service has found confirmed of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from practice.core.confirmation import ConfirmedWarning
from practice.core.terms import BodyPosition, Instrument, MotionType, Movement, Side
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.events import (
    GoalBasis,
    GoalKind,
    PostureSeverity,
    SwellingStage,
)


@dataclass(frozen=True, kw_only=True)
class RecordReading:
    """One reading. Degrees whole, pain 0 to 10, ``at`` now where not given; ``reading_id`` where
    it was named before."""

    movement: Movement
    side: Side
    motion: MotionType
    degrees: int
    position: BodyPosition
    instrument: Instrument
    rater_id: UUID
    session_id: UUID | None = None
    occurred_at: datetime | None = None
    confirmed_occurred_at: bool = False
    pain: int | None = None
    assisted: bool = False
    confirmed_unlikely: bool = False
    new_pain: bool = False
    new_swelling: bool = False
    explanation: str = ""
    confirmed: tuple[ConfirmedWarning, ...] = ()
    reading_id: UUID | None = None


@dataclass(frozen=True, kw_only=True)
class SetGoal:
    """A goal. ``degrees`` only for basis ``number``; ``edition`` and ``sex`` (female, male)
    for basis ``norm``."""

    kind: GoalKind = GoalKind.RANGE
    movement: Movement | None = None
    side: Side | None = None
    basis: GoalBasis = GoalBasis.COMMON_PRACTICE
    degrees: int | None = None
    edition: str = ""
    sex: str | None = None
    finding: PostureKind | None = None
    pain_at_most: int | None = None
    reason: str = ""
    occurred_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class RecordPosture:
    """One posture finding; OTHER needs a description."""

    finding: PostureKind
    severity: PostureSeverity
    observer_id: UUID
    side: Side = Side.BOTH
    description: str = ""
    session_id: UUID | None = None
    occurred_at: datetime | None = None
    confirmed_occurred_at: bool = False
    confirmed: tuple[ConfirmedWarning, ...] = ()


@dataclass(frozen=True, kw_only=True)
class RecordCircumferences:
    """Circumferences of both arms in cm from the wrist upwards, ``interval_cm`` apart;
    ``circumferences_id`` where they were named before."""

    left: tuple[float, ...]
    right: tuple[float, ...]
    interval_cm: float
    rater_id: UUID
    baseline: bool = False
    new_heaviness: bool = False
    stage: SwellingStage | None = None
    stage_side: Side | None = None
    session_id: UUID | None = None
    occurred_at: datetime | None = None
    confirmed_occurred_at: bool = False
    confirmed_unlikely: bool = False
    confirmed: tuple[ConfirmedWarning, ...] = ()
    circumferences_id: UUID | None = None
