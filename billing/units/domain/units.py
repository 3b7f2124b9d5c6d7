"""Units from minutes. Pure; the payer names which rule holds for it.

The one rule here: CMS Pub. 100-04, Medicare Claims Processing Manual, chapter 5
section 20.2 C, "Counting Minutes for Timed Codes in 15 Minute Units". The total of
the day's timed minutes sets how many 15-minute units there are; each code keeps one
unit per full 15 minutes of its own; what remains goes to the codes with the most
minutes beyond those. Where minutes are equal, the manual lets a qualified person
select the code, so the rule answers with the candidates and never picks one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from billing.payers.domain.rules import UnitRule

UNIT_MINUTES = 15
MIN_TIMED_MINUTES = 8


@dataclass(frozen=True, slots=True)
class ExpectedUnits:
    """What a day's minutes earn, whatever an authorization covers.

    ``sure`` are units per code that need nobody's choice (untimed codes once each);
    ``undecided_units`` more units belong to ``candidates``, at most one each, and a person
    chooses which. ``timed_minutes`` is the day's total.
    """

    sure: Mapping[str, int]
    undecided_units: int
    candidates: tuple[str, ...]
    timed_minutes: int

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
    return ExpectedUnits(kept, remaining, candidates, total)


UNIT_RULES: dict[UnitRule, Callable[[Mapping[str, int], Iterable[str]], ExpectedUnits]] = {
    UnitRule.CMS_TOTAL_TIME: cms_total_time,
}
