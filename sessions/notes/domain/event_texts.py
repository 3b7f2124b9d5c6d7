"""What happened to notes, in one sentence each, for the history of a record."""

from __future__ import annotations

from clients.identity.domain.event_texts import event_text
from sessions.notes.domain.events import AddendumAdded, NoteMarkedOutside, NoteSigned


@event_text(NoteSigned)
def _signed(event: NoteSigned) -> str:
    outside = f", {len(event.outside)} lines outside their permission" if event.outside else ""
    return f"The note of {event.local_date} was signed: {event.attended_minutes} minutes{outside}."


@event_text(AddendumAdded)
def _addendum(event: AddendumAdded) -> str:
    corrected = " and the minutes corrected" if event.corrected_minutes is not None else ""
    return f"A note was added to{corrected}."


@event_text(NoteMarkedOutside)
def _outside(event: NoteMarkedOutside) -> str:
    count = len(event.lines)
    return f"A fact recorded later shows {count} lines of a signed note outside their permission."
