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

from billing.domain.earning import Earned
from billing.domain.events import Dropped
from billing.domain.sharing import Shares
from billing.domain.terms import Gap, Why
from billing.domain.units import UNIT_MINUTES, Need

SHORT = (
    Gap.OUTSIDE_PERIOD,
    Gap.AUTHORIZATION_ENDED,
    Gap.NO_UNITS_LEFT,
    Gap.UNITS_SHORT,
    Gap.NO_MINUTES_LEFT,
    Gap.MINUTES_SHORT,
)
"""Reasons for which units that were earned are not covered."""


@dataclass(frozen=True, slots=True)
class Paid:
    """Timed minutes drawn, and those held back for units that wait for a choice."""

    minutes: int
    reserved: int


def pay(earned: Earned, shares: Shares, left: int | None) -> Paid:
    """The minutes that shares draw and hold back; never more than ``left`` (None = no limit)."""
    total = earned.need.timed_minutes
    drawn = sum(_paid_by_code(earned, shares).values())
    most = total if _complete(earned, shares) else min(total, drawn + _waiting(shares))
    if left is not None:
        drawn, most = min(drawn, left), min(most, left)
    return Paid(drawn, most - drawn if shares.open else 0)


def settled(need: Need, asked: Shares, shares: Shares) -> tuple[dict[str, int], int]:
    """The need per code and the units still open, once a person chose among equal remainders."""
    units = Counter(need.sure)
    chosen = asked.open is not None and shares.open is None
    if not chosen or asked.open is None or asked.open.why is not Why.EQUAL_REMAINDERS:
        return dict(need.sure), need.open_units
    units.update(Counter(shares.drawn) - Counter(asked.drawn))
    return dict(units), need.open_units - asked.open.units


def unpaid(earned: Earned, shares: Shares, gaps: tuple[Gap, ...]) -> Iterator[Dropped]:
    """Minutes whose units are not covered, those signed last first to go.

    Codes that a person may still choose are left out: which of their minutes go unpaid
    is not known before.
    """
    gap = next((one for one in SHORT if one in gaps), None)
    if gap is None or _complete(earned, shares):
        return
    rest = _paid_by_code(earned, shares)
    waiting = shares.open.at_most if shares.open else {}
    for one in earned.counted:
        if one.code in waiting:
            continue
        if one.timed:
            paid = min(one.minutes, rest.get(one.code, 0))
            rest[one.code] = rest.get(one.code, 0) - paid
        else:
            paid = one.minutes if one.code in shares.drawn else 0
        if paid < one.minutes:
            yield Dropped(
                note_id=one.note_id,
                part=one.part,
                minutes=one.minutes - paid,
                code=one.code,
                gap=gap,
            )


def _complete(earned: Earned, shares: Shares) -> bool:
    return shares.units >= earned.need.units > 0


def _paid_by_code(earned: Earned, shares: Shares) -> dict[str, int]:
    codes = dict.fromkeys(one.code for one in earned.counted if one.timed)
    given = {code: earned.minutes_of(code) for code in codes}
    if shares.open is None and _complete(earned, shares):
        return given
    return {
        code: min(minutes, UNIT_MINUTES * shares.drawn.get(code, 0))
        for code, minutes in given.items()
    }


def _waiting(shares: Shares) -> int:
    return UNIT_MINUTES * shares.open.units if shares.open else 0
