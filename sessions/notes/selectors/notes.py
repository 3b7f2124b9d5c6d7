"""Questions on notes: a session's draft and signed note; what was outside its permission."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar
from uuid import UUID

from django.db.models import QuerySet

from clients.identity.display_names import with_display_names
from practice.core.decisions import Actor
from practice.core.reasons import invalid
from practice.core.terms import Role
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.selectors.facilities import at_visible_facilities
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.models import Session
from sessions.notes.models import Note, NoteDraft
from sessions.notes.selectors.co_signature import with_co_signatures

Row = TypeVar("Row", Note, NoteDraft, Session)


def notes_of(session_id: UUID) -> list[Note]:
    """Every note that was ever signed of a session, the last one last."""
    return list(Note.objects.filter(session_id=session_id).order_by("signed_at", "id"))


def shown_of(found: Sequence[Note], session: Session) -> Note | None:
    """Of a session's notes the one that is its note: that which stands, or the one that was
    entered in error with the session."""
    standing = [one for one in found if not one.entered_in_error]
    if not standing and session.status == SessionStatus.ENTERED_IN_ERROR.value:
        standing = list(found)
    return standing[-1] if standing else None


def re_entered_as(note: Note) -> UUID | None:
    """The note that took the place of one entered in error."""
    if not note.entered_in_error:
        return None
    return notes_standing().filter(re_enters=note.pk).values_list("pk", flat=True).first()


def notes_in_error(session_id: UUID) -> QuerySet[Note]:
    """What was signed of a session and entered in error."""
    return Note.objects.filter(session_id=session_id).exclude(entered_in_error="")


def re_entered(actor: Actor, note_id: UUID | None, *, field: str = "re_enters") -> UUID | None:
    """The caller's own note entered in error that another is to take the place of. Raises
    Rejected 400 for any other, and for one whose place is taken."""
    if note_id is None:
        return None
    own = of_caller(actor, Note.objects.filter(pk=note_id))
    if not own.exclude(entered_in_error="").exists():
        raise invalid(field, "There is no note of yours with that id entered in error.")
    if notes_standing().filter(re_enters=note_id).exists():
        raise invalid(field, "Another note has taken its place already.")
    return note_id


def no_notes() -> QuerySet[Note]:
    """No note at all: for the description of a list."""
    return Note.objects.none()


def notes_standing() -> QuerySet[Note]:
    """The signed notes that were not entered in error."""
    return Note.objects.filter(entered_in_error="")


def drafts_of(session_id: UUID) -> list[NoteDraft]:
    """The drafts of a session, of every author."""
    return list(NoteDraft.objects.filter(session_id=session_id).order_by("updated_at", "id"))


def last_note_before(session: Session) -> Note | None:
    """The last signed note of a session's client that stands, of before the session."""
    before = notes_standing().filter(client_id=session.client_id, started_at__lt=session.starts_at)
    return before.exclude(session_id=session.pk).order_by("-started_at", "-id").first()


def notes_visible(actor: Actor) -> QuerySet[Note]:
    """The signed notes that stand at facilities that the caller may see."""
    return at_visible_facilities(actor, notes_standing())


def notes_outside(actor: Actor) -> QuerySet[Note]:
    """Signed notes with lines outside their permission: all for the owner, to a practitioner
    those that they signed."""
    rows = notes_visible(actor).filter(is_outside=True)
    if actor.role is Role.OWNER:
        return rows
    return of_caller(actor, rows)


def of_caller(actor: Actor, rows: QuerySet[Row]) -> QuerySet[Row]:
    """The rows of the practitioner who asks; none for who is no practitioner."""
    if actor.practitioner_id is None:
        return rows.none()
    return rows.filter(practitioner_id=actor.practitioner_id)


def named_notes(rows: Iterable[Note]) -> list[Note]:
    """The rows with the names of client, practitioner, facility and supervisor, and where their
    co-signature stands, as attributes."""
    found = with_display_names(rows)
    with_co_signatures(found)
    supervisors = {row.supervisor_id for row in found if row.supervisor_id is not None}
    names = dict(Practitioner.objects.filter(pk__in=supervisors).values_list("pk", "name"))
    for row in found:
        name = "" if row.supervisor_id is None else names.get(row.supervisor_id, "")
        setattr(row, "supervisor_name", name)  # noqa: B010  beside the columns, as the others
    return found
