"""Read tables and working papers of the sessions floor."""

from sessions.models.calendar import Session

__all__ = ["Session"]
