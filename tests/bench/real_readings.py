"""Readings of the program itself, foretellable, in bulk or one by one."""

from __future__ import annotations

from typing import Final
from uuid import uuid4

from practice.core.terms import BodyPosition, Instrument, MotionType, Movement, Side
from sessions.measurements.domain.events import ReadingRecorded
from tests.bench.record import RATER

MOVEMENTS: Final = (
    Movement.SHOULDER_FLEXION,
    Movement.SHOULDER_EXTENSION,
    Movement.SHOULDER_ABDUCTION,
    Movement.NECK_ROTATION,
)


def real_reading(number: int) -> ReadingRecorded:
    """The reading of that number in a stream."""
    return ReadingRecorded(
        reading_id=uuid4(),
        movement=MOVEMENTS[number % 4],
        side=(Side.LEFT, Side.RIGHT)[number % 2],
        motion=MotionType.ACTIVE,
        degrees=90 + number % 60,
        position=BodyPosition.SITTING,
        instrument=Instrument.GONIOMETER,
        rater_id=RATER,
    )
