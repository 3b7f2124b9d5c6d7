"""The manual's sentences as a slow search over all divisions of the units.

Written from CMS Pub. 100-04 ch. 5 section 20.2 C; imports nothing of the product. A
division of the day's units among the codes may be billed when

1. it has as many units as the chart gives for the total of the timed minutes,
2. a code performed for at least 15 minutes has at least one, for at least 30 two, ...,
3. units stand on the services "you spent the most time providing": no unit beyond
   those could be moved to another code and stand on more of its minutes there
   ("count the first 30 minutes as two full units, compare the remaining time and
   bill the larger").

Where more than one division may be billed, a person chooses between them.
"""

from __future__ import annotations

from collections.abc import Iterator

CHART = {1: (8, 22), 2: (23, 37), 3: (38, 52), 4: (53, 67), 5: (68, 82)} | {
    6: (83, 97),
    7: (98, 112),
    8: (113, 127),
}


def chart_units(total: int) -> int:
    """Units for a total of minutes, looked up in the printed chart (0 to 127)."""
    return next((units for units, (low, high) in CHART.items() if low <= total <= high), 0)


def divisions(units: int, codes: int) -> Iterator[tuple[int, ...]]:
    """Every way to give so many units to so many codes."""
    if codes == 1:
        yield (units,)
        return
    for first in range(units + 1):
        for rest in divisions(units - first, codes - 1):
            yield (first, *rest)


def full_units(minutes: int) -> int:
    """At least so many units by the manual's second sentence."""
    count = 0
    while minutes >= 15 * (count + 1):
        count += 1
    return count


def stands_on(minutes: int, ordinal: int) -> int:
    """How many of a code's minutes its unit number ``ordinal`` (from 1) stands on."""
    return max(0, minutes - 15 * (ordinal - 1))


def may_be_billed(division: tuple[int, ...], minutes: tuple[int, ...]) -> bool:
    """Whether no unit beyond the full ones would stand on more minutes elsewhere."""
    for giver, units in enumerate(division):
        if units <= full_units(minutes[giver]):
            continue
        held = stands_on(minutes[giver], units)
        for taker, others in enumerate(division):
            if taker != giver and stands_on(minutes[taker], others + 1) > held:
                return False
    return True


def billable_divisions(minutes: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Every division of the day's units that the manual's sentences allow."""
    least = tuple(full_units(one) for one in minutes)
    return [
        division
        for division in divisions(chart_units(sum(minutes)), len(minutes))
        if all(units >= low for units, low in zip(division, least, strict=True))
        and may_be_billed(division, minutes)
    ]
