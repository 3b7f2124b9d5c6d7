"""What was done besides stretching, and between which start and stop each part lay. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
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


def minutes_of_spans(spans: Iterable[PartSpan]) -> dict[SessionPart, int]:
    """Whole minutes of each part between its starts and stops."""
    found: dict[SessionPart, timedelta] = {}
    for one in spans:
        found[one.part] = found.get(one.part, timedelta()) + (one.stopped_at - one.started_at)
    return {part: time // timedelta(minutes=1) for part, time in found.items()}


def wrong_spans(spans: Iterable[PartSpan]) -> dict[str, str]:
    """What cannot be about starts and stops, by field: a minute of the client counts once."""
    wrong: dict[str, str] = {}
    before: PartSpan | None = None
    for one in sorted(spans, key=lambda span: (span.started_at, span.stopped_at, span.line_id)):
        if one.stopped_at <= one.started_at:
            wrong[f"spans.{one.line_id}"] = "The stop must be after the start."
        elif before is not None and one.started_at < before.stopped_at:
            wrong[f"spans.{one.line_id}"] = f"It begins before {before.part} has stopped."
        if before is None or one.stopped_at > before.stopped_at:
            before = one
    return wrong
