"""Read tables and working papers of the sessions floor."""

from sessions.models.calendar import Session
from sessions.models.catalogue import Stretch
from sessions.models.motion import Girths, Goal, PostureFinding, Reading
from sessions.models.notes import Note, NoteDraft
from sessions.models.programme import HomeExercise, Prescription, Recheck

__all__ = [
    "Girths",
    "Goal",
    "HomeExercise",
    "Note",
    "NoteDraft",
    "PostureFinding",
    "Prescription",
    "Reading",
    "Recheck",
    "Session",
    "Stretch",
]
