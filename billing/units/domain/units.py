"""Units from minutes. Pure; the payer names which rule holds for it.

The one rule here: CMS Pub. 100-04, Medicare Claims Processing Manual, chapter 5
section 20.2 C, "Counting Minutes for Timed Codes in 15 Minute Units". The total of
the day's timed minutes sets how many 15-minute units there are; each code keeps one
unit per full 15 minutes of its own; what remains goes to the codes with the most
minutes beyond those. Where minutes are equal, the manual lets a qualified person
select the code, so the rule answers with the candidates and never picks one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from billing.payers.domain.rules import UnitRule

UNIT_MINUTES = 15
MIN_TIMED_MINUTES = 8


@dataclass(frozen=True, slots=True)
class ExpectedUnits:
    """What a day's minutes earn, whatever an authorization covers.

    ``sure`` are units per code that need nobody's choice (untimed codes once each);
    ``undecided_units`` more belong to the codes of ``max_by_code``, at most so many each,
    and a person chooses which. ``timed_minutes`` is the day's total that is sure;
    ``lost_minutes`` more were given but cannot all count (see ``units_of_uncertain``).
    """

    sure: Mapping[str, int]
    undecided_units: int
    max_by_code: Mapping[str, int]
    timed_minutes: int
    lost_minutes: int = 0

    @property
    def candidates(self) -> tuple[str, ...]:
        """The codes that a person may choose."""
        return tuple(self.max_by_code)

    @property
    def units(self) -> int:
        """All units, chosen or not."""
        return sum(self.sure.values()) + self.undecided_units


def units_of_total(minutes: int) -> int:
    """Units for a total of timed minutes: 8-22 -> 1, 23-37 -> 2 and so on; under 8 -> 0."""
    return (minutes + UNIT_MINUTES - MIN_TIMED_MINUTES) // UNIT_MINUTES


def cms_total_time(timed: Mapping[str, int], untimed: Iterable[str] = ()) -> ExpectedUnits:
    """Units of one client, day and discipline from whole minutes per timed code.

    ``untimed`` codes count once each, outside the timed total. A code with no unit is
    left out of ``sure``.

    There are never more units to give than codes with minutes to spare: k remainders
    of at most 14 sum to 14k, and (14k + 7) // 15 <= k. Nor fewer than the full ones.
    """
    total = sum(timed.values())
    sure = {code: minutes // UNIT_MINUTES for code, minutes in timed.items()}
    spare = {code: minutes % UNIT_MINUTES for code, minutes in timed.items()}
    remaining = units_of_total(total) - sum(sure.values())
    candidates: tuple[str, ...] = ()
    for most in sorted({*spare.values()} - {0}, reverse=True):
        equal = tuple(sorted(code for code, minutes in spare.items() if minutes == most))
        if len(equal) > remaining:
            candidates = equal if remaining else ()
            break
        for code in equal:
            sure[code] += 1
        remaining -= len(equal)
    kept = {code: units for code, units in sorted(sure.items()) if units}
    kept |= dict.fromkeys(sorted(untimed), 1)
    return ExpectedUnits(kept, remaining, dict.fromkeys(candidates, 1), total)


UNIT_RULES: dict[UnitRule, Callable[[Mapping[str, int], Iterable[str]], ExpectedUnits]] = {
    UnitRule.CMS_TOTAL_TIME: cms_total_time,
}


@dataclass(frozen=True, slots=True)
class LostMinutes:
    """Timed minutes that were given and cannot count: ``total`` in all, of each code at most
    ``most``. Which code loses them nobody knows while ``most`` sums to more than ``total``."""

    total: int = 0
    most: Mapping[str, int] = field(default_factory=dict)


def units_of_uncertain(
    rule: UnitRule, timed: Mapping[str, int], untimed: Iterable[str], lost: LostMinutes
) -> ExpectedUnits:
    """Units of minutes of which some cannot count, whichever code loses them.

    The total follows from the minutes that are sure. A code's units are sure as far as it
    has them when it loses the most that it may; the rest is sure in total and not by code.
    Taking a minute from a code and giving one back to another never gives the first more
    units, so only the others need to be tried in every way.
    """
    once, make = tuple(untimed), UNIT_RULES[rule]
    if not lost.total:
        return make(timed, once)
    least, most = {}, {}
    for code in sorted(timed):
        others = {one: lost.most.get(one, 0) for one in sorted(timed) if one != code}
        own = lost.most.get(code, 0)
        at_worst = _without(timed, code, min(own, lost.total), lost.total, others)
        at_best = _without(
            timed, code, max(0, lost.total - sum(others.values())), lost.total, others
        )
        least[code] = min(make(one, ()).sure.get(code, 0) for one in at_worst)
        most[code] = max(_at_most(make(one, ()), code) for one in at_best)
    total = sum(timed.values()) - lost.total
    undecided = units_of_total(total) - sum(least.values())
    sure = {code: units for code, units in least.items() if units} | dict.fromkeys(sorted(once), 1)
    open_codes = {code: min(most[code] - least[code], undecided) for code in least}
    return ExpectedUnits(
        sure,
        undecided,
        {code: units for code, units in open_codes.items() if units},
        total,
        lost.total,
    )


def _at_most(units: ExpectedUnits, code: str) -> int:
    return units.sure.get(code, 0) + units.max_by_code.get(code, 0)


def _without(
    timed: Mapping[str, int], code: str, own: int, total: int, others: Mapping[str, int]
) -> Iterator[dict[str, int]]:
    """The minutes left where a code loses ``own`` of ``total`` and the others the rest."""
    for shares in _divisions(total - own, tuple(others.values())):
        gone = {code: own, **dict(zip(others, shares, strict=True))}
        yield {one: minutes - gone.get(one, 0) for one, minutes in timed.items()}


def _divisions(total: int, most: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Every way to divide a total into shares of at most so much each."""
    if not most:
        if not total:
            yield ()
        return
    rest = sum(most[1:])
    for first in range(max(0, total - rest), min(total, most[0]) + 1):
        for others in _divisions(total - first, most[1:]):
            yield (first, *others)
