"""Minutes that the units drawn pay for, and those that go unpaid. Pure.

CMS Pub. 100-04 ch. 5 section 20.2 says how minutes become units and not how units become
minutes again; so this is the practice's rule. Where every unit that the day's timed minutes
earn is drawn, all of them are paid: the units stand for the whole total. Otherwise each timed
code pays its own minutes, at most 15 for each of its units. Untimed codes draw no minutes.
Units that wait for a person's choice draw none until then; the most that they may draw is
held back, so that the choice never draws beyond the authorized minutes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from billing.authorizations.domain.events import ExcludedMinutes
from billing.authorizations.domain.terms import UncoveredReason, UndecidedReason
from billing.units.domain.units import UNIT_MINUTES, ExpectedUnits
from billing.visits.domain.allocation import Allocation
from billing.visits.domain.timed_units import EarnedUnits

SHORTFALL_REASONS = (
    UncoveredReason.GIVEN_BACK,
    UncoveredReason.OUTSIDE_PERIOD,
    UncoveredReason.AUTHORIZATION_ENDED,
    UncoveredReason.NO_UNITS_LEFT,
    UncoveredReason.UNITS_SHORT,
    UncoveredReason.NO_MINUTES_LEFT,
    UncoveredReason.MINUTES_SHORT,
)
"""Reasons for which units that were earned are not covered."""


@dataclass(frozen=True, slots=True)
class PaidMinutes:
    """Timed minutes used, and those held back for units that wait for a choice."""

    minutes: int
    reserved: int


def allocate_minutes(earned: EarnedUnits, allocation: Allocation, left: int | None) -> PaidMinutes:
    """The minutes that shares draw and hold back; never more than ``left`` (None = no limit)."""
    total = earned.expected_units.timed_minutes
    used_units = min(total, sum(_paid_by_code(earned, allocation).values()))
    most = total if _complete(earned, allocation) else min(total, used_units + _waiting(allocation))
    if left is not None:
        used_units, most = min(used_units, left), min(most, left)
    return PaidMinutes(used_units, most - used_units if allocation.undecided else 0)


def expected_after_override(
    expected_units: ExpectedUnits, asked: Allocation, allocation: Allocation
) -> tuple[dict[str, int], int]:
    """The need per code and the units still open, once a person chose the code of some."""
    units = Counter(expected_units.sure)
    chosen = asked.undecided is not None and allocation.undecided is None
    if (
        not chosen
        or asked.undecided is None
        or asked.undecided.undecided_reason is UndecidedReason.UNITS_SHORT
    ):
        return dict(expected_units.sure), expected_units.undecided_units
    units.update(Counter(allocation.used_units) - Counter(asked.used_units))
    return dict(units), expected_units.undecided_units - asked.undecided.units


def unpaid_minutes(
    earned: EarnedUnits, allocation: Allocation, uncovered_reasons: tuple[UncoveredReason, ...]
) -> Iterator[ExcludedMinutes]:
    """Minutes whose units are not covered, those signed last first to go.

    Codes that a person may still choose are left out: which of their minutes go unpaid
    is not known before. Minutes that do not count anyway are named by their own reason.
    """
    uncovered_reason = next((one for one in SHORTFALL_REASONS if one in uncovered_reasons), None)
    if uncovered_reason is None or _complete(earned, allocation):
        return
    rest = _paid_by_code(earned, allocation)
    waiting = allocation.undecided.max_by_code if allocation.undecided else {}
    named = dict(earned.uncounted)
    for one in earned.counted:
        if one.code in waiting:
            continue
        if one.timed:
            paid = min(one.minutes, rest.get(one.code, 0))
            rest[one.code] = rest.get(one.code, 0) - paid
        else:
            paid = one.minutes if one.code in allocation.used_units else 0
        unpaid = one.minutes - paid
        if one.timed:
            known = min(unpaid, named.get(one.session_id, 0))
            named[one.session_id] = named.get(one.session_id, 0) - known
            unpaid -= known
        if unpaid:
            yield ExcludedMinutes(
                note_id=one.note_id,
                part=one.part,
                minutes=unpaid,
                code=one.code,
                uncovered_reason=uncovered_reason,
            )


def _complete(earned: EarnedUnits, allocation: Allocation) -> bool:
    return allocation.units >= earned.expected_units.units > 0


def _paid_by_code(earned: EarnedUnits, allocation: Allocation) -> dict[str, int]:
    codes = dict.fromkeys(one.code for one in earned.counted if one.timed)
    given = {code: earned.minutes_of(code) for code in codes}
    if allocation.undecided is None and _complete(earned, allocation):
        return given
    return {
        code: min(minutes, UNIT_MINUTES * allocation.used_units.get(code, 0))
        for code, minutes in given.items()
    }


def _waiting(allocation: Allocation) -> int:
    return UNIT_MINUTES * allocation.undecided.units if allocation.undecided else 0
