"""Consents in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from clients.consent.domain import events
from clients.consent.domain.events import EVERYTHING, NarrowedScope
from clients.consent.domain.terms import ConsentSigner
from clients.health.domain.wording import sites_text, words_text
from practice.core.confirmation import confirmed_text
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("consent", label="Consent", watches=(events,))


def scope_text(scope: NarrowedScope) -> str:
    """What a withdrawal is about: "left arm; passive; 1 named practitioner", or "everything"."""
    if scope == EVERYTHING:
        return "everything"
    people = len(scope.practitioner_ids)
    parts = [
        sites_text(scope.sites),
        words_text(scope.techniques),
        f"{people} named {'practitioner' if people == 1 else 'practitioners'}" if people else "",
    ]
    return "; ".join(part for part in parts if part)


def _of(scope: NarrowedScope) -> str:
    return "" if scope == EVERYTHING else f" ({scope_text(scope)})"


@EVENT_TEXTS.on(events.ConsentRecorded)
def consented(event: events.ConsentRecorded, meta: RecordedEvent) -> str:
    guardian = event.obtained.signer is ConsentSigner.GUARDIAN
    who = "A guardian consented for the client" if guardian else "The client consented"
    return (
        f"{who} to touch ({sites_text(event.scope.sites)}) by "
        f"{words_text(event.scope.techniques)}, until {event.until.isoformat()}."
        f"{confirmed_text(event.confirmed)}"
    )


@EVENT_TEXTS.on(events.ConsentDeclined)
def declined(event: events.ConsentDeclined, meta: RecordedEvent) -> str:
    return f"The client declined touch{_of(event.scope)}."


@EVENT_TEXTS.on(events.ConsentWithdrawn)
def withdrew(event: events.ConsentWithdrawn, meta: RecordedEvent) -> str:
    return f"The client withdrew the touch consent{_of(event.scope)}."


@EVENT_TEXTS.on(events.ConsentConfirmed)
def confirmed(event: events.ConsentConfirmed, meta: RecordedEvent) -> str:
    return "The client was asked about a suspended touch consent: it stands."
