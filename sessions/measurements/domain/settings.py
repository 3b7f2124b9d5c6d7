"""The practice's settings by which a reading is evaluated: group ``measurement``."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from practice.core.terms import Instrument, Movement


class ErrorPair(msgspec.Struct, frozen=True):
    """Measurement error in degrees that a change must reach to count.

    ``same_rater`` where both readings are one person's, ``two_raters`` otherwise;
    ``policy`` says what the two numbers rest on.
    """

    same_rater: float
    two_raters: float
    policy: str


class DailyLife(msgspec.Struct, frozen=True):
    """Degrees that everyday tasks need, where published, with the source."""

    degrees: Mapping[Movement, int]
    source: str


class MeasurementSettings(msgspec.Struct, frozen=True):
    """Degrees throughout. Ranges are (least, greatest), both included.

    ``errors`` by instrument: what is missing there is never evaluated.
    """

    possible: Mapping[Movement, tuple[int, int]]
    usual: Mapping[Movement, tuple[int, int]]
    errors: Mapping[Instrument, ErrorPair]
    confidence_percent: int
    second_reading_drop: int
    default_goals: Mapping[Movement, int]
    norm_edition: str
    daily_life: DailyLife
    goal_review_months: int
    long_ago_years: int
