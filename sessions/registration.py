"""What this floor registers: slices, projectors, reactors, advisers and due handlers."""

from __future__ import annotations

from practice.domain.decisions import parts
from practice.services.hooks import register_settings
from sessions import registration_motion
from sessions.domain.calendar.commands import CalendarSettings
from sessions.domain.calendar.projecting import session_row
from sessions.domain.calendar.state import CALENDAR
from sessions.domain.notes.projecting import note_row
from sessions.domain.notes.signing import NoteSettings
from sessions.domain.notes.state import NOTES
from sessions.services import rejudging

PROJECTORS = (session_row, note_row)
"""Registered as their modules are imported; so are the handlers of due work."""

WORKING_PAPERS = "client_sessions.NoteDraft"


def register() -> None:
    """Called once at start-up."""
    parts.add_slices(CALENDAR, NOTES)
    parts.papers.append(WORKING_PAPERS)
    parts.reactors.extend((rejudging.FACTS_CHANGED, rejudging.STOPPED))
    register_settings("calendar", CalendarSettings)
    register_settings("notes", NoteSettings)
    registration_motion.register()
