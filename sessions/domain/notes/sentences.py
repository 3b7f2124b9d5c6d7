"""What happened to notes, in one sentence each, for the history of a record."""

from __future__ import annotations

from clients.domain.sentences import says
from sessions.domain.notes.events import AddendumAdded, NoteOutside, NoteSigned


@says(NoteSigned)
def _signed(event: NoteSigned) -> str:
    outside = f", {len(event.outside)} lines outside their permission" if event.outside else ""
    return f"The note of {event.local_date} was signed: {event.attended_minutes} minutes{outside}."


@says(AddendumAdded)
def _addendum(event: AddendumAdded) -> str:
    corrected = " and the minutes corrected" if event.corrected_minutes is not None else ""
    return f"A note was added to{corrected}."


@says(NoteOutside)
def _outside(event: NoteOutside) -> str:
    count = len(event.lines)
    return f"A fact recorded later shows {count} lines of a signed note outside their permission."
