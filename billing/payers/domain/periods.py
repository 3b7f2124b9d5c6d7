"""Rules with dates: which of them change when some hold from a day on. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True)
class RulePeriod:
    """Rules that hold for days before ``until``; None = for all days after the one before."""

    rules: Mapping[str, Any]
    until: date | None = None


def changed_from(
    periods: Sequence[RulePeriod], changes: Mapping[str, Any], first: date
) -> list[RulePeriod]:
    """The periods after some rules were changed for a day and all days after it.

    What is not among the changes stays as it was in each period; the days before ``first``
    stay as they are. Periods that do not differ any more become one.
    """
    made: list[RulePeriod] = []
    begin: date | None = None
    for one in periods:
        if one.until is not None and one.until <= first:
            made.append(one)
        else:
            if begin is None or begin < first:
                made.append(RulePeriod(one.rules, first))
            made.append(RulePeriod({**one.rules, **changes}, one.until))
        begin = one.until
    kept: list[RulePeriod] = []
    for one in made:
        if kept and kept[-1].rules == one.rules:
            kept.pop()
        kept.append(one)
    return kept
