"""Whether an authorization covers a day that is booked, and whether it runs out. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from billing.authorizations.domain.advisories import (
    BillingSettings,
    RemainingBalance,
    running_out_reasons,
)

NOT_COVERED, NOTHING_PAID, RUNS_OUT = "aut", "aut-paid", "aut-end"


def coverage_gap(
    day: date,
    held: Sequence[RemainingBalance],
    booked: Sequence[date],
    settings: BillingSettings,
) -> str | None:
    """What the desk is to know of a booked day, None where an authorization covers it well.

    ``held``: what is left of each authorization of the client. ``booked``: the days on which
    the client has sessions booked, this one included: those up to it use visits before it.
    """
    covering = [
        replace(one, visits=_left(one, day, booked))
        for one in held
        if one.starts_on <= day <= one.last_day
    ]
    good = [one for one in covering if not _used_up(one)]
    if not good:
        return NOT_COVERED
    if all(running_out_reasons(one, day, settings) for one in good):
        return RUNS_OUT
    return None


def _left(one: RemainingBalance, day: date, booked: Sequence[date]) -> int | None:
    """Visits left after those of the days booked until then; None where nothing limits them."""
    if one.visits is None:
        return None
    return one.visits - sum(one.starts_on <= other <= day for other in set(booked))


def _used_up(one: RemainingBalance) -> bool:
    """Whether nothing is left for the day: no visit (``visits`` counts the day itself), no
    unit or no minute."""
    short = one.visits is not None and one.visits < 0
    return short or any(left is not None and left <= 0 for left in (one.units, one.minutes))
