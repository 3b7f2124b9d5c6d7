"""What this floor registers: slices, projectors, reactors, advisers and due handlers."""

from __future__ import annotations

from practice.domain.decisions import parts
from sessions.domain.calendar.projecting import session_row
from sessions.domain.calendar.state import CALENDAR
from sessions.domain.notes.projecting import note_row
from sessions.domain.notes.state import NOTES

PROJECTORS = (session_row, note_row)
"""Registered as their modules are imported."""


def register() -> None:
    """Called once at start-up."""
    parts.add_slices(CALENDAR, NOTES)
    parts.papers.append("client_sessions.NoteDraft")
