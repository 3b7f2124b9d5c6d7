"""What this floor registers: slices, projectors, reactors, advisers and due handlers."""

from __future__ import annotations

from typing import Any

import msgspec

from clients.selectors.record import record_parts
from practice.domain.decisions import parts
from practice.services.hooks import register_settings
from sessions import registration_motion
from sessions.domain.calendar import sentences as calendar_sentences
from sessions.domain.calendar.commands import CalendarSettings
from sessions.domain.calendar.projecting import session_row
from sessions.domain.calendar.state import CALENDAR, Calendar
from sessions.domain.notes import sentences as note_sentences
from sessions.domain.notes.projecting import note_row
from sessions.domain.notes.signing import NoteSettings
from sessions.domain.notes.state import NOTES, Notes
from sessions.services import ahead, rejudging

PROJECTORS = (session_row, note_row)
SENTENCES = (calendar_sentences, note_sentences)
TOLD = (ahead.booked_ahead, ahead.open_sessions)
"""Registered as their modules are imported; so are the handlers of due work."""

WORKING_PAPERS = "client_sessions.NoteDraft"


def register() -> None:
    """Called once at start-up."""
    parts.add_slices(CALENDAR, NOTES)
    parts.papers.append(WORKING_PAPERS)
    parts.reactors.extend((rejudging.FACTS_CHANGED, rejudging.STOPPED))
    register_settings("calendar", CalendarSettings)
    register_settings("notes", NoteSettings)
    record_parts["sessions"] = (CALENDAR, _shown)
    record_parts["notes"] = (NOTES, _shown)
    registration_motion.register()


def _shown(state: Calendar | Notes) -> Any:
    """The sessions or notes of a record as known on a day, by the session's id."""
    held = state.sessions if isinstance(state, Calendar) else state.by_session
    return {str(key): msgspec.to_builtins(one) for key, one in sorted(held.items())}
