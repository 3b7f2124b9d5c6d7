"""A completed session that was entered in error earns nothing: its day is given back. Pure."""

from __future__ import annotations

from billing.authorizations.domain.events import VisitCalculated
from billing.authorizations.domain.state import AuthorizationBalance
from billing.authorizations.domain.treatment_day import TreatmentDay
from billing.payers.domain.rules import PayerRulesById
from billing.visits.domain.reactors import day_of_visit, recalculated
from sessions.calendar.domain.events import SessionEnteredInError


def without_session(
    event: SessionEnteredInError,
    authorization_balance: AuthorizationBalance,
    payers: PayerRulesById,
) -> list[VisitCalculated]:
    """The visits that count the session, calculated without it: what it used is free again."""
    made: list[VisitCalculated] = []
    for visit_id, visit in authorization_balance.visits.items():
        rest = tuple(one for one in visit.last.sessions if one.session_id != event.session_id)
        if rest == visit.last.sessions:
            continue
        day = day_of_visit(authorization_balance, visit_id)
        left = TreatmentDay(day.visit_id, day.local_date, day.discipline, rest, day.earlier)
        made += recalculated(left, authorization_balance, payers)
    return made
