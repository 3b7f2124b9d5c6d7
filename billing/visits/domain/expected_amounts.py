"""What a payer is expected to pay for a visit. Pure."""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from billing.authorizations.domain.events import ExpectedAmount, VisitCalculated
from billing.payers.domain.rates import amounts_by_code
from billing.payers.domain.rules import PayerRules


def expected_amount_of(units: Mapping[str, int], rules: PayerRules) -> ExpectedAmount | None:
    """Units that an authorization gave, by the rates of their day; None where it gave none."""
    if not any(units.values()):
        return None
    by_code, without_rate = amounts_by_code(units, rules.rates)
    return ExpectedAmount(currency=rules.currency, by_code=by_code, codes_without_rate=without_rate)


def with_present_rates(visit: VisitCalculated, rules: PayerRules) -> VisitCalculated:
    """A visit with the amount that the rates of its day, as they stand now, make of what it uses;
    nothing else of it changes."""
    amount = expected_amount_of(visit.used_units, rules)
    if amount == visit.expected_amount:
        return visit
    return msgspec.structs.replace(
        visit,
        expected_amount=amount,
        payer_revision=rules.revision,
        usage_changes=(),
        parted_from=(),
    )
