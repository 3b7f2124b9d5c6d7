"""A person's choice for a visit: the code of open units, the authorization, whose minutes. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from uuid import UUID

from billing.domain.cover import Cover
from billing.domain.events import ChoiceMade, Open
from billing.domain.payers import Payers
from billing.domain.reacting import day_again, reckoned, with_minutes_assigned
from practice.domain.decisions import Decided
from practice.domain.reasons import Rejected, invalid


def choose_units(
    cover: Cover, visit_id: UUID, units: Mapping[str, int], payers: Payers, reason: str
) -> Decided:
    """Say which service code gets the units that were held back; they are drawn at once.

    The same choice again changes nothing.
    """
    visit = cover.visit(visit_id)
    given = {code: count for code, count in sorted(units.items()) if count}
    if visit.last.open is None:
        if visit.choice and visit.choice.units == given:
            return []
        raise Rejected("nothing_to_choose", "No unit of this visit waits for a choice.")
    _check(visit.last.open, given)
    choice = ChoiceMade(visit_id=visit_id, units=given, among=visit.last.open, reason=reason)
    day = day_again(cover, visit_id)
    day = replace(day, earlier=replace(visit, choice=choice))
    return [choice, *reckoned(day, cover, payers)]


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
    if not authorization.covers_day(day.local_date) and not day.held(authorization_id):
        raise Rejected(
            "outside_period",
            f"The day {day.local_date} lies outside its period, {authorization.terms.starts_on} "
            f"to {authorization.last_day}.",
        )
    now = reckoned(day, cover, payers, chosen=authorization_id)
    if not now:
        return []
    return [
        ChoiceMade(visit_id=visit_id, authorization_id=authorization_id, reason=reason),
        *now,
    ]


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
