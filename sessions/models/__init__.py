"""Read tables and working papers of the sessions floor."""

from sessions.models.calendar import Session
from sessions.models.notes import Note, NoteDraft

__all__ = ["Note", "NoteDraft", "Session"]
