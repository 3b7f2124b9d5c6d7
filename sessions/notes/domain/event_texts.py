"""What happened to notes, in one sentence each, for the history of a record."""

from __future__ import annotations

from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent
from sessions.notes.domain import events

EVENT_TEXTS = EventTexts("notes", watches=(events,))


@EVENT_TEXTS.on(events.NoteSigned)
def signed(event: events.NoteSigned, meta: RecordedEvent) -> str:
    outside = f", {len(event.outside)} lines outside their permission" if event.outside else ""
    return f"The note of {event.local_date} was signed: {event.attended_minutes} minutes{outside}."


@EVENT_TEXTS.on(events.AddendumAdded)
def addendum(event: events.AddendumAdded, meta: RecordedEvent) -> str:
    corrected = " and the minutes corrected" if event.corrected_minutes is not None else ""
    return f"A note was added to{corrected}."


@EVENT_TEXTS.on(events.NoteMarkedOutside)
def outside(event: events.NoteMarkedOutside, meta: RecordedEvent) -> str:
    count = len(event.lines)
    return f"A fact recorded later shows {count} lines of a signed note outside their permission."
