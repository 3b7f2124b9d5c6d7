"""A client's year so far with a payer, against what the payer wants more said from. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from uuid import UUID

from billing.authorizations.domain.events import ExpectedAmount, VisitCalculated
from billing.payers.domain.rates import ThresholdMeasure, YearlyThreshold
from billing.payers.domain.rules import PayerRules
from practice.core.reasons import Reason


class ThresholdState(StrEnum):
    """How far a year has come: ``crossed`` is beyond the threshold, ``near`` from the share on
    from which the practice looks at it."""

    BELOW = "below"
    NEAR = "near"
    CROSSED = "crossed"


@dataclass(frozen=True, slots=True)
class YearlyUse:
    """What one visit used of a payer's authorizations."""

    visit_id: UUID
    day: date
    units: dict[str, int]
    amount: ExpectedAmount | None


@dataclass(frozen=True, slots=True)
class ThresholdBalance:
    """A threshold and what counts towards it in a calendar year.

    ``used`` is what is known: the amount of ``visits_without_amount`` more has no rate.
    """

    payer: str
    year: int
    currency: str
    threshold: YearlyThreshold
    used: Decimal
    visits_without_amount: int
    warning_percent: int

    @property
    def state(self) -> ThresholdState:
        """How far it has come; ``warning_percent`` of its value is near."""
        if self.used > self.threshold.value:
            return ThresholdState.CROSSED
        if self.used * 100 >= self.threshold.value * self.warning_percent:
            return ThresholdState.NEAR
        return ThresholdState.BELOW

    def shown(self, value: Decimal) -> str:
        """An amount with its cents, or whole units."""
        cents = self.threshold.measure is ThresholdMeasure.AMOUNT
        return f"{value:.2f}" if cents else f"{value:.0f}"


def use_of(visit: VisitCalculated) -> YearlyUse:
    """What a visit used, as it counts towards a year."""
    return YearlyUse(visit.visit_id, visit.local_date, visit.used_units, visit.expected_amount)


def threshold_balances(
    rules: PayerRules, year: int, uses: Iterable[YearlyUse], warning_percent: int
) -> list[ThresholdBalance]:
    """Each threshold of a payer with what some visits count towards it in a year."""
    of_year = [one for one in uses if one.day.year == year]
    made = []
    for threshold in rules.yearly_thresholds:
        used, unknown = _sum(rules, threshold, of_year)
        made.append(
            ThresholdBalance(
                payer=rules.name,
                year=year,
                currency=rules.currency,
                threshold=threshold,
                used=used,
                visits_without_amount=unknown,
                warning_percent=warning_percent,
            )
        )
    return made


def threshold_reasons(balances: Iterable[ThresholdBalance]) -> list[Reason]:
    """A warning for each threshold that is near or crossed."""
    return [_reason(one) for one in balances if one.state is not ThresholdState.BELOW]


def _sum(
    rules: PayerRules, threshold: YearlyThreshold, uses: Sequence[YearlyUse]
) -> tuple[Decimal, int]:
    """What is known, and of how many visits something is not."""
    used, unknown = Decimal(0), 0
    for one in uses:
        counted = {code: units for code, units in one.units.items() if threshold.counts(code)}
        if threshold.measure is ThresholdMeasure.UNITS:
            used += sum(counted.values())
            continue
        known = one.amount.by_code if one.amount and one.amount.currency == rules.currency else {}
        used += sum((known[code] for code in counted if code in known), Decimal(0))
        unknown += any(units and code not in known for code, units in counted.items())
    return used, unknown


def _reason(one: ThresholdBalance) -> Reason:
    unit = one.currency if one.threshold.measure is ThresholdMeasure.AMOUNT else "units"
    of = f" of {', '.join(sorted(one.threshold.codes))}" if one.threshold.codes else ""
    least = "at least " if one.visits_without_amount else ""
    text = (
        f"In {one.year} this client's visits have used {least}{one.shown(one.used)} of the "
        f"{one.shown(one.threshold.value)} {unit}{of} beyond which {one.payer} wants an "
        f"additional mark or a review ({one.threshold.source})."
    )
    code = f"yearly_threshold_{one.state.value}"
    return Reason(code=code, text=text, source=one.threshold.source)
