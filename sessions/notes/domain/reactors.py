"""A signed note of a session entered in error is entered in error with it (ruling 50). Pure."""

from __future__ import annotations

from typing import Any

from practice.core.decisions import Context, Decided, Reactor, States
from practice.core.events import RecordedEvent
from sessions.calendar.domain.events import SessionEnteredInError
from sessions.notes.domain.events import NoteEnteredInError
from sessions.notes.domain.state import NOTES


def enter_note_in_error(rec: RecordedEvent, states: States, facts: Any, ctx: Context) -> Decided:
    """The note that stands of the session, with the reason of the session."""
    if not isinstance(rec.data, SessionEnteredInError):
        return []
    note = states[NOTES].by_session.get(rec.data.session_id)
    if note is None:
        return []
    return [
        NoteEnteredInError(note_id=note.note_id, session_id=note.session_id, reason=rec.data.reason)
    ]


ENTER_NOTE_IN_ERROR = Reactor(
    name="enter the note of a session in error",
    on=(SessionEnteredInError,),
    slices=(NOTES,),
    react=enter_note_in_error,
)
