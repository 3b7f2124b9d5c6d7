"""A long series, thinned out for a picture: what a line of so many points would show. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from sessions.measurements.domain.comparison import ComparableReading

MOST_DRAWN: Final = 400
"""Readings of one line of a picture; more than one for each two pixels cannot be told apart."""


MOST_VALUED: Final = 60
"""Readings of one line that have their value written at them; more would lie on each other."""


def valued(
    readings: Sequence[ComparableReading], most: int = MOST_VALUED
) -> list[ComparableReading]:
    """The readings whose values are written: all where they are few; else the first, the lowest,
    the highest and the last."""
    if len(readings) <= most:
        return list(readings)
    degrees = [one.degrees for one in readings]
    places = {0, degrees.index(min(degrees)), degrees.index(max(degrees)), len(readings) - 1}
    return [readings[at] for at in sorted(places)]


def thinned(
    readings: Sequence[ComparableReading], most: int = MOST_DRAWN
) -> list[ComparableReading]:
    """The readings themselves where they are few; else the first, the last, and of each of equal
    parts of the series the lowest and the highest, so that no loss and no gain goes unseen."""
    if len(readings) <= most:
        return list(readings)
    inner = readings[1:-1]
    parts = (most - 2) // 2
    kept = [readings[0]]
    for number in range(parts):
        part = inner[number * len(inner) // parts : (number + 1) * len(inner) // parts]
        places = range(len(part))
        low = min(places, key=lambda at: part[at].degrees)
        high = max(places, key=lambda at: part[at].degrees)
        kept += [part[at] for at in sorted({low, high})]
    return [*kept, readings[-1]]
