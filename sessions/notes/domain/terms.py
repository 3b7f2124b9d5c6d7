"""The words of what a note holds besides stretches; they stand in events. Pure."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from uuid import UUID

import msgspec

from practice.core.terms import SessionPart, Side


class BroughtFrom(StrEnum):
    """Where a line was brought from that nobody has touched since."""

    PLAN = "plan"
    LAST_NOTE = "last_note"


class CardioMode(StrEnum):
    """How the heart was worked."""

    WALKING = "walking"
    TREADMILL = "treadmill"
    BICYCLE = "bicycle"
    ARM_ERGOMETER = "arm_ergometer"
    ELLIPTICAL = "elliptical"
    ROWING = "rowing"
    STEPS = "steps"
    OTHER = "other"


class CardioWork(msgspec.Struct, frozen=True, kw_only=True):
    """Cardio of one mode. ``heart_rate``: beats a minute, the highest seen; ``exertion``: as the
    client says it, 0 to 10."""

    line_id: UUID
    mode: CardioMode
    minutes: int
    heart_rate: int | None = None
    exertion: int | None = None
    response: str = ""


class StrengthWork(msgspec.Struct, frozen=True, kw_only=True):
    """One exercise. ``load_kg`` is what is moved in each repetition; 0: the body alone."""

    line_id: UUID
    exercise: str
    side: Side = Side.BOTH
    sets: int
    repetitions: int
    load_kg: float | None = None
    response: str = ""


class PartSpan(msgspec.Struct, frozen=True, kw_only=True):
    """A part of the session from its start to its stop; a part may have several."""

    line_id: UUID
    part: SessionPart
    started_at: datetime
    stopped_at: datetime
