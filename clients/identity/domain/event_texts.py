"""Who the client is in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from clients.identity.domain import events
from clients.identity.domain.names import full_name
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("identity", label="Client details", watches=(events,))


@EVENT_TEXTS.on(events.ClientRegistered)
def registered(event: events.ClientRegistered, meta: RecordedEvent) -> str:
    name = full_name(event.details.given_name, event.details.family_name)
    if not event.doubles_shown:
        return f"{name} was registered."
    shown = len(event.doubles_shown)
    return f"{name} was registered; {shown} on record who may be the same person: shown."


@EVENT_TEXTS.on(events.ClientDetailsChanged)
def changed(event: events.ClientDetailsChanged, meta: RecordedEvent) -> str:
    if not event.changed:
        return "The client's details were changed."
    words = ", ".join(one.removesuffix("_ids").replace("_", " ") for one in event.changed)
    return f"The client's details were changed: {words}."
