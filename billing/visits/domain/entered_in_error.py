"""A completed session that was entered in error, or whose note was, earns nothing: its day is
given back. Pure."""

from __future__ import annotations

from uuid import UUID

import msgspec

from billing.authorizations.domain.events import VisitCalculated
from billing.authorizations.domain.state import AuthorizationBalance
from billing.authorizations.domain.treatment_day import TreatmentDay
from billing.payers.domain.rules import PayerRulesById
from billing.visits.domain.reactors import day_of_visit, recalculated
from billing.visits.domain.shared_time import shared_elsewhere, with_shared


def without_session(
    session_id: UUID,
    authorization_balance: AuthorizationBalance,
    payers: PayerRulesById,
) -> list[VisitCalculated]:
    """The visits that count the session or share its time, calculated without it: what it used
    is free again, and its minutes are no longer shared. Sessions of other clients that shared
    them are named in ``parted_from``."""
    made: list[VisitCalculated] = []
    for visit_id, visit in authorization_balance.visits.items():
        rest = tuple(
            with_shared(one, (), {session_id})
            for one in visit.last.sessions
            if one.session_id != session_id
        )
        if rest == visit.last.sessions:
            continue
        day = day_of_visit(authorization_balance, visit_id)
        left = TreatmentDay(day.visit_id, day.local_date, day.discipline, rest, day.earlier)
        gone = [one for one in visit.last.sessions if one.session_id == session_id]
        parted = tuple(sorted(key for one in gone for key in shared_elsewhere(one)))
        for one in recalculated(left, authorization_balance, payers):
            made.append(msgspec.structs.replace(one, parted_from=parted))
            authorization_balance = authorization_balance.after(made[-1])
    return made
