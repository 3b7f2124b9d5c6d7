"""Questions on notes: a session's draft and signed note; what was outside its permission."""

from __future__ import annotations

from uuid import UUID

from django.db.models import QuerySet

from practice.core.decisions import Actor
from practice.people_and_places.selectors.facilities import at_visible_facilities
from sessions.notes.models import Note, NoteDraft


def note_of(session_id: UUID) -> Note | None:
    """The signed note of a session."""
    return Note.objects.filter(session_id=session_id).first()


def draft_of(session_id: UUID) -> NoteDraft | None:
    """The draft of a session."""
    return NoteDraft.objects.filter(session_id=session_id).first()


def notes_visible(actor: Actor) -> QuerySet[Note]:
    """The signed notes at facilities that the caller may see."""
    return at_visible_facilities(actor, Note.objects.all())


def notes_outside(actor: Actor) -> QuerySet[Note]:
    """Signed notes with lines outside their permission: the owner's list."""
    return notes_visible(actor).filter(is_outside=True)
