"""Visits that a payer's corrected rules concern, calculated again. Pure."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

import msgspec

from billing.authorizations.domain.events import VisitCalculated, VisitOverridden
from billing.authorizations.domain.state import AuthorizationBalance
from billing.payers.domain.rules import PayerRulesById
from billing.visits.domain.calculation import calculate_visit
from billing.visits.domain.expected_amounts import with_present_rates
from billing.visits.domain.reactors import day_of_visit
from practice.core.decisions import Decided


@dataclass(frozen=True, slots=True)
class CorrectedPeriod:
    """Whose rules were corrected, and the days to look at (both count; None = no bound)."""

    payer_id: UUID
    first: date | None = None
    last: date | None = None

    def holds(self, visit: VisitCalculated) -> bool:
        """Whether a visit is one of that payer's in those days."""
        early = self.first is not None and visit.local_date < self.first
        late = self.last is not None and visit.local_date > self.last
        return visit.payer_id == self.payer_id and not early and not late


@dataclass(frozen=True, slots=True)
class CorrectedVisit:
    """A visit as it stands and as the rules of its day would have it."""

    before: VisitCalculated
    after: VisitCalculated


def corrected_visits(
    authorization_balance: AuthorizationBalance, period: CorrectedPeriod, payers: PayerRulesById
) -> list[CorrectedVisit]:
    """A client's visits whose need, or amount, the rules of their day make otherwise, oldest
    first.

    Only those: room that appeared meanwhile covers nothing by itself, and where the rates alone
    differ the visit keeps what it uses.
    """
    found: list[CorrectedVisit] = []
    visits = [one for one in authorization_balance.visits.values() if period.holds(one.last)]
    for visit in sorted(visits, key=lambda one: one.order):
        day = day_of_visit(authorization_balance, visit.last.visit_id)
        now = calculate_visit(day, authorization_balance, payers)
        if _need(now) == _need(visit.last):
            rules = payers[period.payer_id].on(visit.last.local_date)
            now = with_present_rates(visit.last, rules)
        if now is not visit.last:
            found.append(CorrectedVisit(visit.last, now))
            authorization_balance = authorization_balance.after(now)
    return found


def correct_visits(corrected: Sequence[CorrectedVisit], reason: str) -> Decided:
    """One client's part of the act: why, and each visit as it is from now on."""
    return [
        event
        for one in corrected
        for event in (
            VisitOverridden(
                visit_id=one.after.visit_id,
                payer_revision=one.after.payer_revision,
                reason=reason,
            ),
            one.after,
        )
    ]


def version_of(corrected: Iterable[CorrectedVisit]) -> str:
    """What was shown, in one word: any other change makes another (SHA-256, hexadecimal)."""
    shown = sorted(
        (one.after.visit_id.hex, msgspec.json.encode(one.after).hex()) for one in corrected
    )
    return hashlib.sha256(msgspec.json.encode(shown)).hexdigest()


def _need(visit: VisitCalculated) -> tuple[Any, ...]:
    """What the payer's rules alone decide: by what, and how much the minutes earn."""
    return (
        visit.unit_rule,
        visit.visit_definition,
        visit.expected_units,
        visit.expected_units_undecided,
        visit.timed_minutes,
    )
