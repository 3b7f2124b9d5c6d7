"""Who the client is in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from clients.identity.domain import events
from clients.identity.domain.names import full_name
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("identity", watches=(events,))


@EVENT_TEXTS.on(events.ClientRegistered)
def registered(event: events.ClientRegistered, meta: RecordedEvent) -> str:
    return f"{full_name(event.details.given_name, event.details.family_name)} was registered."


@EVENT_TEXTS.on(events.ClientDetailsChanged)
def changed(event: events.ClientDetailsChanged, meta: RecordedEvent) -> str:
    return "The client's details were changed."
