"""What this floor registers: slices, projectors, reactors, advisers and due handlers."""

from __future__ import annotations

from typing import Any

import msgspec

from clients.record.selectors import record_sections
from practice.core.decisions import installed
from practice.policy.hooks import register_settings
from sessions import registration_motion
from sessions.booking.selectors import upcoming as booking_upcoming
from sessions.calendar.domain import event_texts as calendar_sentences
from sessions.calendar.domain.projections import SESSION_ROWS
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.domain.state import CALENDAR, CalendarState
from sessions.notes.domain import event_texts as note_sentences
from sessions.notes.domain.decisions import NoteSettings
from sessions.notes.domain.projections import NOTE_ROWS
from sessions.notes.domain.state import NOTES, NotesState
from sessions.notes.selectors import upcoming as notes_upcoming
from sessions.reevaluation import services as rejudging

PROJECTIONS = (SESSION_ROWS, NOTE_ROWS)
EVENT_TEXTS = (calendar_sentences, note_sentences)
UPCOMING_HOOKS = (
    booking_upcoming.upcoming_sessions_of_practitioner,
    notes_upcoming.open_session_reasons,
)
"""Registered as their modules are imported; so are the handlers of due work."""

WORKING_DOCUMENTS = "client_sessions.NoteDraft"


def register() -> None:
    """Called once at start-up."""
    installed.add_slices(CALENDAR, NOTES)
    installed.add_projections(*PROJECTIONS)
    installed.add_event_texts(*(texts.EVENT_TEXTS for texts in EVENT_TEXTS))
    installed.working_documents.append(WORKING_DOCUMENTS)
    installed.reactors.extend((rejudging.FACTS_CHANGED, rejudging.STOPPED))
    register_settings("calendar", CalendarSettings)
    register_settings("notes", NoteSettings)
    record_sections["sessions"] = (CALENDAR, _sessions_of_record)
    record_sections["notes"] = (NOTES, _sessions_of_record)
    registration_motion.register()


def _sessions_of_record(state: CalendarState | NotesState) -> Any:
    """The sessions or notes of a record as known on a day, by the session's id."""
    held = state.sessions if isinstance(state, CalendarState) else state.by_session
    return {str(key): msgspec.to_builtins(one) for key, one in sorted(held.items())}
