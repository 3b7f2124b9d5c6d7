"""Progress notes in one plain sentence each, for the history of a record. Pure."""

from __future__ import annotations

from billing.progress_notes.domain import events
from practice.core.event_texts import EventTexts
from practice.core.events import RecordedEvent

EVENT_TEXTS = EventTexts("progress_notes", label="Progress note", watches=(events,))


@EVENT_TEXTS.on(events.ProgressNoteRecorded)
def recorded(event: events.ProgressNoteRecorded, meta: RecordedEvent) -> str:
    where = f", {event.kept_where}" if event.kept_where else ""
    return (
        f"A progress note of {event.discipline.replace('_', ' ')} was written on "
        f"{event.written_on}, for the treatment days until {event.covers_until} "
        f"({event.kept_as}{where})."
    )


@EVENT_TEXTS.on(events.ProgressNoteEnteredInError)
def entered_in_error(event: events.ProgressNoteEnteredInError, meta: RecordedEvent) -> str:
    return f"A progress note was entered in error: {event.reason}"
