"""A person's choice for a visit: the code of open units, the authorization, whose minutes. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from uuid import UUID

from billing.domain.cover import Authorized, Cover, Visit
from billing.domain.events import ChoiceMade, Open
from billing.domain.payers import Payers
from billing.domain.reacting import day_again, reckoned, with_minutes_assigned
from billing.domain.reckoning import reckon, says_something_new
from billing.domain.terms import GAP_TEXT, Gap
from practice.domain.decisions import Decided
from practice.domain.reasons import Reason, Rejected, invalid


def choose_units(
    cover: Cover, visit_id: UUID, units: Mapping[str, int], payers: Payers, reason: str
) -> Decided:
    """Say which service code gets the units that were held back; they are drawn at once.

    A later choice replaces the one before it: the day is asked again as if nobody had
    chosen, within what it holds and what is left now, so nothing is overdrawn. The same
    choice again changes nothing.
    """
    visit = cover.visit(visit_id)
    given = {code: count for code, count in sorted(units.items()) if count}
    asked = visit.last.open or _asked_before_choice(cover, visit, payers)
    if asked is None:
        raise Rejected("nothing_to_choose", "No unit of this visit waits for a choice.")
    if visit.last.units_chosen and visit.choice and visit.choice.units == given:
        return []
    _check(asked, given)
    choice = ChoiceMade(visit_id=visit_id, units=given, among=asked, reason=reason)
    day = day_again(cover, visit_id)
    day = replace(day, earlier=replace(visit, choice=choice))
    return [choice, *reckoned(day, cover, payers)]


def _asked_before_choice(cover: Cover, visit: Visit, payers: Payers) -> Open | None:
    """What there would be to choose had nobody chosen; None where the minutes answer it."""
    if not visit.last.units_chosen:
        return None
    day = replace(day_again(cover, visit.last.visit_id), earlier=replace(visit, choice=None))
    return reckon(day, cover, payers).open


def _check(asked: Open, given: Mapping[str, int]) -> None:
    among = ", ".join(f"{code} (at most {most})" for code, most in sorted(asked.at_most.items()))
    fits = all(0 < count <= asked.at_most.get(code, 0) for code, count in given.items())
    if not fits or sum(given.values()) != asked.units:
        raise invalid("units", f"Give {asked.units} unit(s) in all among {among}.")


def choose_authorization(
    cover: Cover, visit_id: UUID, authorization_id: UUID, payers: Payers, reason: str
) -> Decided:
    """Say which authorization a visit draws from; it draws at once what that one has left.

    Also how a visit is covered after room appeared: nothing is covered by itself.
    """
    authorization, day = cover.authorization(authorization_id), day_again(cover, visit_id)
    now = reckon(day, cover, payers, authorization_id)
    if not (now.drawn or now.open):
        raise _cannot_cover(authorization, now.gaps)
    if not says_something_new(day, now):
        return []
    return [
        ChoiceMade(visit_id=visit_id, authorization_id=authorization_id, reason=reason),
        now,
    ]


def _cannot_cover(authorization: Authorized, gaps: tuple[Gap, ...]) -> Rejected:
    """It has no room for the visit, or does not cover its day: 409 with each reason."""
    terms = authorization.terms
    return Rejected(
        "authorization_does_not_cover",
        f"Authorization {terms.number} ({terms.starts_on} to {authorization.last_day}) covers "
        f"nothing of this visit: {' '.join(GAP_TEXT[gap] for gap in gaps)}",
        reasons=[
            Reason(code=gap.value, text=GAP_TEXT[gap], source="the payer's authorization")
            for gap in gaps
        ],
    )


def assign_minutes(
    cover: Cover, visit_id: UUID, session_id: UUID, payers: Payers, reason: str
) -> Decided:
    """Say that the overlapping minutes of a session are this client's; they count at once.

    The other client's note is then corrected by an addendum. Assigned twice changes nothing.
    """
    day = day_again(cover, visit_id)
    session = next((one for one in day.sessions if one.session_id == session_id), None)
    if session is None or not session.overlaps:
        raise invalid("session_id", "Name a session of this visit whose minutes overlap.")
    if session.assigned:
        return []
    return [
        ChoiceMade(visit_id=visit_id, session_id=session_id, reason=reason),
        *reckoned(with_minutes_assigned(day, session_id), cover, payers),
    ]
