"""What is said to a booking of the payer's yearly thresholds: warnings, never a refusal. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE, AuthorizationBalance
from billing.authorizations.domain.yearly_thresholds import (
    threshold_balances,
    threshold_reasons,
    use_of,
)
from billing.payers.domain.rules import PayerRulesById
from practice.core.decisions import Context, States
from practice.core.reasons import Reason
from sessions.booking.domain.commands import BookingQuestion


@dataclass(frozen=True, slots=True)
class ThresholdFacts:
    """The rules of the client's payers, and from which share of a threshold on it warns."""

    payers: PayerRulesById
    warning_percent: int


def advise_of_thresholds(
    facts: BookingQuestion, states: States, given: ThresholdFacts, ctx: Context
) -> Sequence[Reason]:
    """Warn where the year of the session's day is near a threshold, or beyond it, of a payer whose
    authorization covers that day. What is only booked has no units yet and does not count."""
    balance: AuthorizationBalance = states[AUTHORIZATION_BALANCE]
    day = facts.slot.local_start.date()
    covering = sorted(
        (one for one in balance.authorizations.values() if one.covers_day(day)),
        key=lambda one: one.rank,
    )
    visits = [one.last for one in balance.visits.values()]
    found: list[Reason] = []
    for payer_id in dict.fromkeys(one.payer_id for one in covering):
        uses = [use_of(one) for one in visits if one.payer_id == payer_id]
        rules = given.payers[payer_id].on(day)
        found += threshold_reasons(threshold_balances(rules, day.year, uses, given.warning_percent))
    return found
