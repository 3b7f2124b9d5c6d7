"""Questions on notes: a session's draft and signed note; what was outside its permission."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from django.db.models import QuerySet

from clients.identity.display_names import with_display_names
from practice.core.decisions import Actor
from practice.core.terms import Role
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.selectors.facilities import at_visible_facilities
from sessions.notes.models import Note, NoteDraft


def note_of(session_id: UUID) -> Note | None:
    """The signed note of a session, one entered in error too."""
    return Note.objects.filter(session_id=session_id).first()


def notes_standing() -> QuerySet[Note]:
    """The signed notes that were not entered in error."""
    return Note.objects.filter(entered_in_error="")


def drafts_of(session_id: UUID) -> list[NoteDraft]:
    """The drafts of a session, of every author."""
    return list(NoteDraft.objects.filter(session_id=session_id).order_by("updated_at", "id"))


def notes_visible(actor: Actor) -> QuerySet[Note]:
    """The signed notes that stand at facilities that the caller may see."""
    return at_visible_facilities(actor, notes_standing())


def notes_outside(actor: Actor) -> QuerySet[Note]:
    """Signed notes with lines outside their permission: all for the owner, to a practitioner
    those that they signed."""
    rows = notes_visible(actor).filter(is_outside=True)
    if actor.role is Role.OWNER:
        return rows
    if actor.practitioner_id is None:
        return rows.none()
    return rows.filter(practitioner_id=actor.practitioner_id)


def named_notes(rows: Iterable[Note]) -> list[Note]:
    """The rows with the names of client, practitioner, facility and supervisor as attributes."""
    found = with_display_names(rows)
    supervisors = {row.supervisor_id for row in found if row.supervisor_id is not None}
    names = dict(Practitioner.objects.filter(pk__in=supervisors).values_list("pk", "name"))
    for row in found:
        name = "" if row.supervisor_id is None else names.get(row.supervisor_id, "")
        setattr(row, "supervisor_name", name)  # noqa: B010  beside the columns, as the others
    return found
