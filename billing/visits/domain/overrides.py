"""A person's choice for a visit: the code of open units, or the authorization. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from uuid import UUID

from billing.authorizations.domain.events import UndecidedUnits, VisitOverridden
from billing.authorizations.domain.state import AuthorizationBalance, AuthorizationState, VisitState
from billing.authorizations.domain.terms import UNCOVERED_REASON_TEXT, UncoveredReason
from billing.payers.domain.rules import PayerRulesById
from billing.visits.domain.calculation import calculate_visit, differs_from_last
from billing.visits.domain.reactors import day_of_visit, recalculated
from practice.core.decisions import Decided
from practice.core.reasons import Reason, Rejected, invalid


def override_units(
    authorization_balance: AuthorizationBalance,
    visit_id: UUID,
    units: Mapping[str, int],
    payers: PayerRulesById,
    reason: str,
) -> Decided:
    """Say which service code gets the units that were held back; they are used at once.

    A later choice replaces the one before it: the day is asked again as if nobody had
    chosen, within what it holds and what is left now, so nothing is overdrawn. The same
    choice again changes nothing.
    """
    visit = authorization_balance.visit(visit_id)
    given = {code: count for code, count in sorted(units.items()) if count}
    asked = visit.last.undecided or _asked_before_override(authorization_balance, visit, payers)
    if asked is None:
        raise Rejected("nothing_to_choose", "No unit of this visit waits for a choice.")
    if visit.last.units_chosen and visit.override and visit.override.units == given:
        return []
    _check(asked, given)
    override = VisitOverridden(visit_id=visit_id, units=given, among=asked, reason=reason)
    day = day_of_visit(authorization_balance, visit_id)
    day = replace(day, earlier=replace(visit, override=override))
    return [override, *recalculated(day, authorization_balance, payers)]


def _asked_before_override(
    authorization_balance: AuthorizationBalance, visit: VisitState, payers: PayerRulesById
) -> UndecidedUnits | None:
    """What there would be to choose had nobody chosen; None where the minutes answer it."""
    if not visit.last.units_chosen:
        return None
    day = replace(
        day_of_visit(authorization_balance, visit.last.visit_id),
        earlier=replace(visit, override=None),
    )
    return calculate_visit(day, authorization_balance, payers).undecided


def _check(asked: UndecidedUnits, given: Mapping[str, int]) -> None:
    among = ", ".join(
        f"{code} (at most {most})" for code, most in sorted(asked.max_by_code.items())
    )
    fits = all(0 < count <= asked.max_by_code.get(code, 0) for code, count in given.items())
    if not fits or sum(given.values()) != asked.units:
        raise invalid("units", f"Give {asked.units} unit(s) in all among {among}.")


def override_authorization(
    authorization_balance: AuthorizationBalance,
    visit_id: UUID,
    authorization_id: UUID,
    payers: PayerRulesById,
    reason: str,
) -> Decided:
    """Say which authorization a visit uses; it uses at once what that one has left.

    Also how a visit is covered after room appeared: nothing is covered by itself.
    """
    authorization, day = (
        authorization_balance.authorization(authorization_id),
        day_of_visit(authorization_balance, visit_id),
    )
    now = calculate_visit(day, authorization_balance, payers, authorization_id)
    if not (now.used_units or now.undecided):
        raise _cannot_cover(authorization, now.uncovered_reasons)
    if not differs_from_last(day, now):
        return []
    return [
        VisitOverridden(visit_id=visit_id, authorization_id=authorization_id, reason=reason),
        now,
    ]


def _cannot_cover(
    authorization: AuthorizationState, uncovered_reasons: tuple[UncoveredReason, ...]
) -> Rejected:
    """It has no room for the visit, or does not cover its day: 409 with each reason."""
    terms = authorization.terms
    return Rejected(
        "authorization_does_not_cover",
        f"Authorization {terms.number} ({terms.starts_on} to {authorization.last_day}) covers "
        f"nothing of this visit: {' '.join(UNCOVERED_REASON_TEXT[r] for r in uncovered_reasons)}",
        reasons=[
            Reason(
                code=uncovered_reason.value,
                text=UNCOVERED_REASON_TEXT[uncovered_reason],
                source="the payer's authorization",
            )
            for uncovered_reason in uncovered_reasons
        ],
    )
