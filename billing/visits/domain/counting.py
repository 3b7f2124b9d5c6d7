"""What a treatment day uses visits of an authorization for. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from billing.authorizations.domain.state import AuthorizationBalance, AuthorizationState
from billing.authorizations.domain.treatment_day import TreatmentDay, visits_of
from billing.payers.domain.rules import VisitDefinition
from billing.visits.domain.timed_units import EarnedUnits


@dataclass(frozen=True, slots=True)
class CountedVisits:
    """What a day uses visits for, and the sessions that a visit is there for."""

    keys: tuple[str, ...] = ()
    sessions: tuple[UUID, ...] = ()

    def among(self, day: TreatmentDay, earned: EarnedUnits) -> frozenset[UUID]:
        """The sessions of the day without those that no visit is left for. One that counts
        nothing stays: it drops out for a reason of its own."""
        every = frozenset(one.session_id for one in day.sessions)
        return every.difference(earned.counting).union(self.sessions)


def counted_visits(
    day: TreatmentDay,
    authorization_balance: AuthorizationBalance,
    authorization: AuthorizationState,
    earned: EarnedUnits,
    left: int | None,
) -> CountedVisits:
    """A calendar day that another discipline counted already needs no further visit; where
    each session is a visit, those counted before come first, then in order of signing. A day
    that earns no unit needs no visit."""
    if not earned.expected_units.units:
        return CountedVisits((), earned.counting)
    if earned.definition is VisitDefinition.CALENDAR_DAY:
        key = day.local_date.isoformat()
        if (
            left is None
            or left > 0
            or key in authorization_balance.counted(authorization.id, without=day.visit_id)
        ):
            return CountedVisits((key,), earned.counting)
        return CountedVisits()
    before = visits_of(day.earlier, authorization.id)
    waiting = sorted(earned.counting, key=lambda one: str(one) not in before)
    may = tuple(waiting if left is None else waiting[:left])
    return CountedVisits(tuple(str(one) for one in may), may)
