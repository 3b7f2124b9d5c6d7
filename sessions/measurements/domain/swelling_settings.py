"""The practice's settings on arm swelling: group ``swelling``."""

from __future__ import annotations

import msgspec


class SwellingSettings(msgspec.Struct, frozen=True):
    """Circumferences in cm, volumes in mL, shares in percent, times in weeks and months."""

    circumference_least_cm: float
    circumference_greatest_cm: float
    interval_least_cm: float
    interval_greatest_cm: float
    points_greatest: int
    refer_percent: float
    refer_ml: float
    refer_cm: float
    watch_percent: float
    watch_weeks: int
    watch_after_months: int
    neighbour_step_cm: float
    change_since_last_percent: float
