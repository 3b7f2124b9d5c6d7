"""Arm volume from circumferences by stacked cones, and relative volume change. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import isfinite, pi

from practice.core.reasons import invalid
from sessions.measurements.domain.swelling_settings import SwellingSettings


def cone_ml(lower_cm: float, upper_cm: float, height_cm: float) -> float:
    """Volume in mL of one truncated cone: h/(12π)·(C1² + C1·C2 + C2²), circumferences in cm."""
    return height_cm / (12 * pi) * (lower_cm**2 + lower_cm * upper_cm + upper_cm**2)


def volume_ml(circumferences_cm: Sequence[float], interval_cm: float) -> float:
    """Volume in mL of a limb whose circumferences were taken ``interval_cm`` apart."""
    return sum(cone_ml(lower, upper, interval_cm) for lower, upper in pairwise(circumferences_cm))


def relative_volume_change(
    affected_before: float, unaffected_before: float, affected_now: float, unaffected_now: float
) -> float:
    """(A2·U1)/(U2·A1) − 1: 0.1 is 10 % (Ancukiewicz 2011, Int J Radiat Oncol Biol Phys 79:1436)."""
    return (affected_now * unaffected_before) / (unaffected_now * affected_before) - 1


def check_circumferences(
    left: Sequence[float],
    right: Sequence[float],
    interval_cm: float,
    settings: SwellingSettings,
) -> None:
    """Refuse circumferences that no arm has, too few, or unequal numbers (400)."""
    low, high = settings.interval_least_cm, settings.interval_greatest_cm
    if not (isfinite(interval_cm) and low <= interval_cm <= high):
        raise invalid("interval_cm", f"The interval is {low:g} to {high:g} cm.")
    if len(left) != len(right):
        raise invalid(
            "right",
            f"Give as many circumferences of both arms: left has {len(left)}, right {len(right)}.",
        )
    if not 2 <= len(left) <= settings.points_greatest:
        raise invalid("left", f"Give 2 to {settings.points_greatest} circumferences of each arm.")
    least, most = settings.circumference_least_cm, settings.circumference_greatest_cm
    for field, circumferences in (("left", left), ("right", right)):
        for number, circumference in enumerate(circumferences, 1):
            if not (isfinite(circumference) and least <= circumference <= most):
                raise invalid(
                    field,
                    f"Circumference {number} of the {field} arm is {circumference} cm; "
                    f"possible is {least:g} to {most:g} cm.",
                    code="impossible_circumference",
                )
