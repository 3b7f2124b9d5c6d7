"""What a client does at home between sessions."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from practice.core.events import Event, event
from practice.core.terms import Side
from sessions.catalogue.domain.terms import Dose


@event("home_exercise.assigned")
class HomeExerciseAssigned(Event, frozen=True, kw_only=True):
    """A self-directed exercise assigned to the client on a day, with dose and signs to stop at.

    ``session_id``: the session in which it was assigned.
    """

    home_exercise_id: UUID
    prescription_id: UUID | None = None
    stretch: str
    name: str
    catalogue_version: int
    side: Side
    dose: Dose
    stop_signs: tuple[str, ...]
    assigned_on: date
    assigned_by: UUID
    session_id: UUID | None = None


@event("home_exercise.discontinued")
class HomeExerciseDiscontinued(Event, frozen=True, kw_only=True):
    """A home exercise the client is not to do any more."""

    home_exercise_id: UUID
    reason: str
