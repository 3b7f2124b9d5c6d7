"""What a payer pays for a unit, and from what in a year it wants more said. Pure.

Both are the practice's own data, taken from a contract or a letter that each one names. Where no
rate is on record an amount is unknown, never zero.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class ThresholdMeasure(StrEnum):
    """What of a calendar year is summed for a threshold."""

    AMOUNT = "amount"
    UNITS = "units"


@dataclass(frozen=True, slots=True)
class YearlyThreshold:
    """So much in a calendar year and for one client; beyond it the payer wants an additional mark
    or a review. ``value`` is an amount in the payer's currency, or units; no ``codes``: of all."""

    measure: ThresholdMeasure
    value: Decimal
    source: str
    codes: frozenset[str] = frozenset()

    def counts(self, code: str) -> bool:
        """Whether a service code is summed for it."""
        return not self.codes or code in self.codes


def amounts_by_code(
    units: Mapping[str, int], rates: Mapping[str, Decimal]
) -> tuple[dict[str, Decimal], tuple[str, ...]]:
    """Units times rate for each code that has one, and the codes that have none."""
    used = sorted(code for code, count in units.items() if count)
    known = {code: units[code] * rates[code] for code in used if code in rates}
    return known, tuple(code for code in used if code not in rates)


def total_of(by_code: Mapping[str, Decimal], without_rate: Iterable[str]) -> Decimal | None:
    """The sum, or None where a code has no rate: part of an amount is not the amount."""
    return None if any(True for _ in without_rate) else sum(by_code.values(), Decimal(0))
