"""Billing's events in plain sentences, for the history of a record. Pure."""

from __future__ import annotations

from billing.domain.events import (
    AuthorizationAmended,
    AuthorizationEnded,
    AuthorizationRecorded,
    ChoiceMade,
    VisitDrawn,
)
from billing.domain.terms import GAP_TEXT
from clients.domain.sentences import says


def _units(units: dict[str, int]) -> str:
    return ", ".join(f"{count} of {code}" for code, count in sorted(units.items()))


@says(AuthorizationRecorded)
def _recorded(event: AuthorizationRecorded) -> str:
    terms = event.terms
    return f"Authorization {terms.number} was recorded, {terms.starts_on} to {terms.ends_on}."


@says(AuthorizationAmended)
def _amended(event: AuthorizationAmended) -> str:
    terms = event.terms
    return (
        f"Authorization {terms.number} was amended, {terms.starts_on} to {terms.ends_on}: "
        f"{event.reason}"
    )


@says(AuthorizationEnded)
def _ended(event: AuthorizationEnded) -> str:
    return f"An authorization was ended on {event.ends_on}: {event.reason}"


@says(VisitDrawn)
def _drawn(event: VisitDrawn) -> str:
    what = f"The visit on {event.local_date} was reckoned"
    waiting = [f"{event.open.units} waiting for a choice"] if event.open else []
    held = "; ".join([*([_units(event.drawn)] if event.drawn else []), *waiting])
    if held:
        return f"{what}: units drawn: {held}."
    return f"{what}: nothing drawn. {' '.join(GAP_TEXT[gap] for gap in event.gaps)}".rstrip()


@says(ChoiceMade)
def _chose(event: ChoiceMade) -> str:
    because = f" ({event.reason})" if event.reason else ""
    if event.units:
        return f"A person chose the code of units of a visit: {_units(event.units)}{because}."
    if event.authorization_id:
        return f"A person named the authorization of a visit{because}."
    return f"A person assigned overlapping minutes of a session to her{because}."
