"""Visits that would be covered now, and giving back what a visit used. Pure.

Nothing is covered by itself when room appears: a list names the visits, and an act covers them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from billing.authorizations.domain.events import (
    VisitCalculated,
    VisitCoveredLater,
    VisitGivenBack,
)
from billing.authorizations.domain.state import AuthorizationBalance
from billing.authorizations.domain.terms import CoverageStatus
from billing.authorizations.domain.treatment_day import units_committed
from billing.payers.domain.rules import PayerRulesById
from billing.visits.domain.calculation import calculate_visit
from billing.visits.domain.reactors import day_of_visit
from billing.visits.domain.rule_corrections import CorrectedVisit
from practice.core.decisions import Decided
from practice.core.reasons import Rejected


@dataclass(frozen=True, slots=True)
class CoverSelection:
    """Which visits to look at; None = no bound, both days count.

    ``payer_id`` and ``authorization_id`` are those that would cover. Visits that were given
    back are among them only where ``given_back`` says so, or where they are named.
    """

    client_id: UUID | None = None
    payer_id: UUID | None = None
    authorization_id: UUID | None = None
    first: date | None = None
    last: date | None = None
    visit_ids: frozenset[UUID] | None = None
    given_back: bool = False

    def holds(self, visit: VisitCalculated) -> bool:
        """Whether a visit is to be looked at: not or only partly covered, and among those meant."""
        early = self.first is not None and visit.local_date < self.first
        late = self.last is not None and visit.local_date > self.last
        if visit.covered is CoverageStatus.COVERED or early or late:
            return False
        if self.visit_ids is not None:
            return visit.visit_id in self.visit_ids
        return self.given_back or not visit.given_back

    def wants(self, visit: VisitCalculated) -> bool:
        """Whether what would cover a visit is among what was asked for."""
        return self.payer_id in (None, visit.payer_id) and self.authorization_id in (
            None,
            visit.authorization_id,
        )


@dataclass(frozen=True, slots=True)
class CoverableVisits:
    """A client's visits as they would be covered, in order, and the balance after all of them."""

    visits: tuple[CorrectedVisit, ...]
    balance: AuthorizationBalance


def coverable_visits(
    authorization_balance: AuthorizationBalance, selection: CoverSelection, payers: PayerRulesById
) -> CoverableVisits:
    """A client's visits for which an authorization has room now, oldest first: each takes from
    what those before it left, those too that another payer or authorization would cover."""
    found = []
    visits = [one for one in authorization_balance.visits.values() if selection.holds(one.last)]
    for visit in sorted(visits, key=lambda one: one.order):
        day = day_of_visit(authorization_balance, visit.last.visit_id)
        now = calculate_visit(day.when_given_back(given_back=False), authorization_balance, payers)
        if units_committed(now) > units_committed(visit.last):
            authorization_balance = authorization_balance.after(now)
            if selection.wants(now):
                found.append(CorrectedVisit(visit.last, now))
    return CoverableVisits(tuple(found), authorization_balance)


def cover_visits(covered: Sequence[CorrectedVisit], reason: str) -> Decided:
    """One client's part of the act: why, and each visit as it is from now on."""
    return [
        event
        for one in covered
        if one.after.authorization_id is not None
        for event in (
            VisitCoveredLater(
                visit_id=one.after.visit_id,
                authorization_id=one.after.authorization_id,
                reason=reason,
            ),
            one.after,
        )
    ]


def give_visit_back(
    authorization_balance: AuthorizationBalance,
    visit_id: UUID,
    payers: PayerRulesById,
    reason: str,
) -> Decided:
    """What a visit used goes back to its authorization. It is not covered again by itself, and
    which authorization a person had named for it does not hold any more.

    Raises Rejected 409 where it holds nothing.
    """
    last = authorization_balance.visit(visit_id).last
    if last.authorization_id is None or not units_committed(last):
        raise Rejected(
            "nothing_to_give_back",
            "This visit uses nothing of an authorization, so there is nothing to give back.",
        )
    day = day_of_visit(authorization_balance, visit_id).when_given_back(given_back=True)
    return [
        VisitGivenBack(visit_id=visit_id, authorization_id=last.authorization_id, reason=reason),
        calculate_visit(day, authorization_balance, payers),
    ]
