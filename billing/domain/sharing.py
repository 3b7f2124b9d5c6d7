"""Which of a day's units the rest of an authorization covers. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from billing.domain.events import Open
from billing.domain.terms import Why
from billing.domain.units import Need


@dataclass(frozen=True, slots=True)
class Shares:
    """Units drawn per code, and the units held back until a person chooses."""

    drawn: Mapping[str, int]
    open: Open | None = None

    @property
    def units(self) -> int:
        """Drawn and held back."""
        return sum(self.drawn.values()) + (self.open.units if self.open else 0)


def share(need: Need, left: int | None, line_left: Mapping[str, int]) -> Shares:
    """What is covered of a day's need by ``left`` units in all and per authorized line.

    None = no limit in all; a code without a line limit is missing from ``line_left``.
    Sure units come first. Where they are more than is left, each code is sure only of
    what remains when all others are served; the rest is held back for a person, as are
    units of equal remainders. Never gives more than is left.
    """
    sure = {
        code: min(units, max(0, line_left.get(code, units))) for code, units in need.sure.items()
    }
    total = sum(sure.values())
    if left is not None and total > left:
        return _short(sure, max(0, left))
    room = need.open_units if left is None else min(need.open_units, left - total)
    may = {
        code: 1
        for code in need.candidates
        if code not in line_left or line_left[code] > sure.get(code, 0)
    }
    held = min(room, len(may))
    drawn = {code: units for code, units in sure.items() if units}
    return Shares(drawn, Open(units=held, at_most=may, why=Why.EQUAL_REMAINDERS) if held else None)


def _short(sure: Mapping[str, int], left: int) -> Shares:
    total = sum(sure.values())
    drawn = {code: max(0, left - (total - units)) for code, units in sure.items()}
    held = left - sum(drawn.values())
    may = {code: units - drawn[code] for code, units in sure.items()}
    may = {code: min(units, held) for code, units in may.items() if units and held}
    return Shares(
        {code: units for code, units in drawn.items() if units},
        Open(units=held, at_most=may, why=Why.UNITS_SHORT) if held else None,
    )


def with_choice(shares: Shares, among: Open | None, units: Mapping[str, int]) -> Shares:
    """The shares after a person's choice, where the choice still answers the question.

    A question narrowed since (a code's line was used up by another visit) is the same one
    while what was chosen is still among it.
    """
    if shares.open is None or among is None or not _narrowed(shares.open, among):
        return shares
    if any(count > shares.open.at_most.get(code, 0) for code, count in units.items()):
        return shares
    codes = sorted({*shares.drawn, *units})
    drawn = {code: shares.drawn.get(code, 0) + units.get(code, 0) for code in codes}
    return Shares({code: given for code, given in drawn.items() if given})


def _narrowed(now: Open, among: Open) -> bool:
    """Whether one question asks for the same units, among no more than the other did."""
    within = all(most <= among.at_most.get(code, 0) for code, most in now.at_most.items())
    return (now.units, now.why) == (among.units, among.why) and within
