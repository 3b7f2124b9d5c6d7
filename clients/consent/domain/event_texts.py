"""Consents in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from clients.consent.domain import events
from clients.health.domain.wording import sites_text, words_text
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("consent", watches=(events,))


@EVENT_TEXTS.on(events.ConsentRecorded)
def consented(event: events.ConsentRecorded, meta: RecordedEvent) -> str:
    return (
        f"The client consented to touch ({sites_text(event.scope.sites)}) by "
        f"{words_text(event.scope.techniques)}, until {event.until.isoformat()}."
    )


@EVENT_TEXTS.on(events.ConsentDeclined)
def declined(event: events.ConsentDeclined, meta: RecordedEvent) -> str:
    return "The client declined touch."


@EVENT_TEXTS.on(events.ConsentWithdrawn)
def withdrew(event: events.ConsentWithdrawn, meta: RecordedEvent) -> str:
    return "The client withdrew the touch consent."
