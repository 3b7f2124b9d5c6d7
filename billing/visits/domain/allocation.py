"""Which of a day's units the rest of an authorization covers. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from billing.authorizations.domain.events import UndecidedUnits
from billing.authorizations.domain.terms import UndecidedReason
from billing.units.domain.units import ExpectedUnits


@dataclass(frozen=True, slots=True)
class Allocation:
    """Units used per code, and the units held back until a person chooses."""

    used_units: Mapping[str, int]
    undecided: UndecidedUnits | None = None

    @property
    def units(self) -> int:
        """Used and held back."""
        return sum(self.used_units.values()) + (self.undecided.units if self.undecided else 0)


def allocate_units(
    expected_units: ExpectedUnits, left: int | None, line_left: Mapping[str, int]
) -> Allocation:
    """What is covered of a day's need by ``left`` units in all and per authorized line.

    None = no limit in all; a code without a line limit is missing from ``line_left``.
    Sure units come first. Where they are more than is left, each code is sure only of
    what remains when all others are served; the rest is held back for a person, as are
    units of equal remainders and those of minutes of which nobody knows the code. Never
    gives more than is left.
    """
    sure = {
        code: min(units, max(0, line_left.get(code, units)))
        for code, units in expected_units.sure.items()
    }
    total = sum(sure.values())
    if left is not None and total > left:
        return _short(sure, max(0, left))
    room = (
        expected_units.undecided_units
        if left is None
        else min(expected_units.undecided_units, left - total)
    )
    may = {
        code: min(most, max(0, line_left.get(code, total + most) - sure.get(code, 0)))
        for code, most in expected_units.max_by_code.items()
    }
    may = {code: most for code, most in may.items() if most}
    committed = min(room, sum(may.values()))
    used_units = {code: units for code, units in sure.items() if units}
    reason = (
        UndecidedReason.UNCERTAIN_MINUTES
        if expected_units.lost_minutes
        else UndecidedReason.EQUAL_REMAINDERS
    )
    return Allocation(
        used_units,
        UndecidedUnits(units=committed, max_by_code=may, undecided_reason=reason)
        if committed
        else None,
    )


def _short(sure: Mapping[str, int], left: int) -> Allocation:
    total = sum(sure.values())
    used_units = {code: max(0, left - (total - units)) for code, units in sure.items()}
    committed = left - sum(used_units.values())
    may = {code: units - used_units[code] for code, units in sure.items()}
    may = {code: min(units, committed) for code, units in may.items() if units and committed}
    return Allocation(
        {code: units for code, units in used_units.items() if units},
        UndecidedUnits(
            units=committed, max_by_code=may, undecided_reason=UndecidedReason.UNITS_SHORT
        )
        if committed
        else None,
    )


def with_override(
    allocation: Allocation, among: UndecidedUnits | None, units: Mapping[str, int]
) -> Allocation:
    """The shares after a person's choice, where the choice still answers the question.

    A question narrowed since (a code's line was used up by another visit) is the same one
    while what was chosen is still among it.
    """
    if allocation.undecided is None or among is None or not _narrowed(allocation.undecided, among):
        return allocation
    if any(count > allocation.undecided.max_by_code.get(code, 0) for code, count in units.items()):
        return allocation
    codes = sorted({*allocation.used_units, *units})
    used_units = {code: allocation.used_units.get(code, 0) + units.get(code, 0) for code in codes}
    return Allocation({code: given for code, given in used_units.items() if given})


def _narrowed(now: UndecidedUnits, among: UndecidedUnits) -> bool:
    """Whether one question asks for the same units, among no more than the other did."""
    within = all(most <= among.max_by_code.get(code, 0) for code, most in now.max_by_code.items())
    return (now.units, now.undecided_reason) == (among.units, among.undecided_reason) and within
