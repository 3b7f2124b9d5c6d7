"""Billing's events in plain sentences, for the history of a record. Pure."""

from __future__ import annotations

from billing.authorizations.domain import events
from billing.authorizations.domain.terms import UNCOVERED_REASON_TEXT
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("authorizations", label="Authorization", watches=(events,))


def _units(units: dict[str, int]) -> str:
    return ", ".join(f"{count} of {code}" for code, count in sorted(units.items()))


@EVENT_TEXTS.on(events.AuthorizationRecorded)
def recorded(event: events.AuthorizationRecorded, meta: RecordedEvent) -> str:
    terms = event.terms
    return f"Authorization {terms.number} was recorded, {terms.starts_on} to {terms.ends_on}."


@EVENT_TEXTS.on(events.AuthorizationAmended)
def amended(event: events.AuthorizationAmended, meta: RecordedEvent) -> str:
    terms = event.terms
    return (
        f"Authorization {terms.number} was amended, {terms.starts_on} to {terms.ends_on}: "
        f"{event.reason}"
    )


@EVENT_TEXTS.on(events.AuthorizationEnded)
def ended(event: events.AuthorizationEnded, meta: RecordedEvent) -> str:
    return f"An authorization was ended on {event.ends_on}: {event.reason}"


@EVENT_TEXTS.on(events.AuthorizationReopened)
def reopened(event: events.AuthorizationReopened, meta: RecordedEvent) -> str:
    return f"An authorization that had been ended was opened again: {event.reason}"


@EVENT_TEXTS.on(events.AuthorizationVoided)
def voided(event: events.AuthorizationVoided, meta: RecordedEvent) -> str:
    return f"An authorization entered in error was voided: {event.reason}"


@EVENT_TEXTS.on(events.VisitCalculated)
def calculated(event: events.VisitCalculated, meta: RecordedEvent) -> str:
    if not event.sessions:
        return f"The visit on {event.local_date} fell away: no signed note of it stands any more."
    what = f"The visit on {event.local_date} was calculated"
    waiting = [f"{event.undecided.units} waiting for a choice"] if event.undecided else []
    committed = "; ".join([*([_units(event.used_units)] if event.used_units else []), *waiting])
    if committed:
        return f"{what}: units used: {committed}."
    why = " ".join(UNCOVERED_REASON_TEXT[one] for one in event.uncovered_reasons)
    return f"{what}: nothing used. {why}".rstrip()


@EVENT_TEXTS.on(events.VisitGivenBack)
def given_back(event: events.VisitGivenBack, meta: RecordedEvent) -> str:
    return f"What a visit had used of its authorization was given back: {event.reason}"


@EVENT_TEXTS.on(events.VisitCoveredLater)
def covered_later(event: events.VisitCoveredLater, meta: RecordedEvent) -> str:
    return f"A visit was covered by an authorization that now has room for it: {event.reason}"


@EVENT_TEXTS.on(events.VisitOverridden)
def overridden(event: events.VisitOverridden, meta: RecordedEvent) -> str:
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
