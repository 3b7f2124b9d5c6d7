"""Who pays, in one plain sentence, for the history of a record. Pure."""

from __future__ import annotations

from billing.self_pay.domain import events
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("self_pay", label="Self-pay", watches=(events,))


@EVENT_TEXTS.on(events.SelfPayStated)
def stated(event: events.SelfPayStated, meta: RecordedEvent) -> str:
    pays = "pays for themself" if event.self_paying else "does not pay for themself any more"
    return f"From {event.starts_on} on the client {pays}: {event.reason}"
