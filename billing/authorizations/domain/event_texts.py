"""Billing's events in plain sentences, for the history of a record. Pure."""

from __future__ import annotations

from billing.authorizations.domain.events import (
    AuthorizationAmended,
    AuthorizationEnded,
    AuthorizationRecorded,
    VisitCalculated,
    VisitOverridden,
)
from billing.authorizations.domain.terms import UNCOVERED_REASON_TEXT
from clients.identity.domain.event_texts import event_text


def _units(units: dict[str, int]) -> str:
    return ", ".join(f"{count} of {code}" for code, count in sorted(units.items()))


@event_text(AuthorizationRecorded)
def _recorded(event: AuthorizationRecorded) -> str:
    terms = event.terms
    return f"Authorization {terms.number} was recorded, {terms.starts_on} to {terms.ends_on}."


@event_text(AuthorizationAmended)
def _amended(event: AuthorizationAmended) -> str:
    terms = event.terms
    return (
        f"Authorization {terms.number} was amended, {terms.starts_on} to {terms.ends_on}: "
        f"{event.reason}"
    )


@event_text(AuthorizationEnded)
def _ended(event: AuthorizationEnded) -> str:
    return f"An authorization was ended on {event.ends_on}: {event.reason}"


@event_text(VisitCalculated)
def _calculated(event: VisitCalculated) -> str:
    what = f"The visit on {event.local_date} was reckoned"
    waiting = [f"{event.undecided.units} waiting for a choice"] if event.undecided else []
    committed = "; ".join([*([_units(event.used_units)] if event.used_units else []), *waiting])
    if committed:
        return f"{what}: units drawn: {committed}."
    why = " ".join(UNCOVERED_REASON_TEXT[one] for one in event.uncovered_reasons)
    return f"{what}: nothing used. {why}".rstrip()


@event_text(VisitOverridden)
def _overridden(event: VisitOverridden) -> str:
    because = f" ({event.reason})" if event.reason else ""
    if event.units:
        return f"A person chose the code of units of a visit: {_units(event.units)}{because}."
    if event.authorization_id:
        return f"A person named the authorization of a visit{because}."
    if event.payer_revision is not None:
        return f"The visit was reckoned again by the payer's corrected rules{because}."
    return (
        f"A person said whose the shared minutes of a session are: {event.counted_shared_minutes} "
        f"of them count for it{because}."
    )
