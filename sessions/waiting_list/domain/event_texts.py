"""What happened on the waiting list, in one sentence each, for the history of a record. Pure."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent
from sessions.waiting_list.domain import events

EVENT_TEXTS = EventTexts("waiting_list", label="Waiting list", watches=(events,))


@EVENT_TEXTS.on(events.WaitingAdded)
def added(event: events.WaitingAdded, meta: RecordedEvent) -> str:
    what = f"{event.wanted.purpose} of {event.wanted.minutes} minutes"
    return f"The client waits for a time: {what}. {event.wanted.note}".strip()


@EVENT_TEXTS.on(events.WaitingOffered)
def offered(event: events.WaitingOffered, meta: RecordedEvent) -> str:
    local = event.starts_at.astimezone(ZoneInfo(event.zone))
    return f"The client was offered a time that came free: {local:%Y-%m-%d %H:%M} ({event.zone})."


@EVENT_TEXTS.on(events.WaitingAccepted)
def accepted(event: events.WaitingAccepted, meta: RecordedEvent) -> str:
    return "The client took the time that was offered."


@EVENT_TEXTS.on(events.WaitingDeclined)
def declined(event: events.WaitingDeclined, meta: RecordedEvent) -> str:
    return f"The client did not take the time that was offered. {event.reason}".strip()


@EVENT_TEXTS.on(events.WaitingWithdrawn)
def withdrawn(event: events.WaitingWithdrawn, meta: RecordedEvent) -> str:
    return f"The client waits for a time no more. {event.reason}".strip()
