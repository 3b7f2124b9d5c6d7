"""Measurement error: the standard formulas, and which threshold a pair of readings is held to."""

from __future__ import annotations

from math import sqrt

from practice.core.terms import Instrument
from sessions.measurements.domain.settings import MeasurementSettings

NORMAL_QUANTILES = {90: 1.645, 95: 1.96}
"""Normal quantiles of the two-sided confidence levels in use."""


def standard_error(standard_deviation: float, icc: float) -> float:
    """Standard error of measurement in degrees: SD·√(1 − ICC)."""
    return standard_deviation * sqrt(1 - icc)


def detectable_change(sem: float, confidence_percent: int = 95) -> float:
    """Minimal detectable change in degrees: z·√2·SEM, with z 1.96 at 95 % and 1.645 at 90 %."""
    return NORMAL_QUANTILES[confidence_percent] * sqrt(2) * sem


def threshold(
    instrument: Instrument, *, same_rater: bool, settings: MeasurementSettings
) -> tuple[float, str] | None:
    """The change in degrees that counts for this instrument, and what the number rests on.

    None where the practice holds no figure for the instrument: then nothing is
    evaluated, and never by another instrument's figure.
    """
    pair = settings.errors.get(instrument)
    if pair is None:
        return None
    degrees = pair.same_rater if same_rater else pair.two_raters
    return degrees, pair.policy
