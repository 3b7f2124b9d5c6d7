"""Measurements that are possible but look like a slip: kept only once confirmed. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from dateutil.relativedelta import relativedelta

from practice.core.confirmation import Doubt
from sessions.measurements.domain.events import CircumferencesMeasured
from sessions.measurements.domain.settings import MeasurementSettings
from sessions.measurements.domain.state import MeasurementsState
from sessions.measurements.domain.swelling_settings import SwellingSettings


def doubts_of_day(
    day: date, today: date, birth_date: date | None, settings: MeasurementSettings
) -> Iterator[Doubt]:
    """A day before the client's birth, or years back."""
    if birth_date is not None and day < birth_date:
        text = f"{day} is before the client's birth on {birth_date}."
    elif day < today - relativedelta(years=settings.long_ago_years):
        text = f"{day} is more than {settings.long_ago_years} years back."
    else:
        return
    yield Doubt(
        code="unlikely_day", field="occurred_at", text=text, confirm="confirmed_occurred_at"
    )


def _steep_step(circumferences: Sequence[float], most_cm: float) -> int | None:
    """The number, from 1, of the first point that is out of line with the one before."""
    steps = enumerate(pairwise(circumferences), 2)
    return next((number for number, (a, b) in steps if abs(b - a) > most_cm), None)


def _changed_point(now: Sequence[float], last: Sequence[float], percent: float) -> int | None:
    """The number, from 1, of the first point that changed by more since it was last measured."""
    pairs = enumerate(zip(now, last, strict=False), 1)
    return next((n for n, (new, old) in pairs if abs(new - old) > old * percent / 100), None)


def doubts_of_profile(
    measured: CircumferencesMeasured,
    last: CircumferencesMeasured | None,
    settings: SwellingSettings,
) -> Iterator[Doubt]:
    """Circumferences out of line with their neighbours, or with the last set taken at the same
    points, arm by arm."""
    most_cm = settings.neighbour_step_cm * measured.interval_cm
    for arm, circumferences in (("left", measured.left), ("right", measured.right)):
        number = _steep_step(circumferences, most_cm)
        if number is not None:
            found = circumferences[number - 1]
            text = (
                f"Circumference {number} of the {arm} arm is {found} cm, the one before "
                f"{circumferences[number - 2]} cm: {most_cm:g} cm is usual at most."
            )
            yield _doubt_of_arm(arm, text)
        if last is None:
            continue
        before = last.left if arm == "left" else last.right
        number = _changed_point(circumferences, before, settings.change_since_last_percent)
        if number is not None:
            text = (
                f"Circumference {number} of the {arm} arm is {circumferences[number - 1]} cm, "
                f"last time {before[number - 1]} cm."
            )
            yield _doubt_of_arm(arm, text)


def _doubt_of_arm(arm: str, text: str) -> Doubt:
    return Doubt(code="unlikely_circumference", field=arm, text=text, confirm="confirmed_unlikely")


def last_taken_alike(
    motion: MeasurementsState, measured: CircumferencesMeasured
) -> CircumferencesMeasured | None:
    """The last set on record that was taken at the same distance between points."""
    alike = [
        one.measured
        for one in motion.circumferences
        if one.measured.interval_cm == measured.interval_cm
    ]
    return alike[-1] if alike else None
