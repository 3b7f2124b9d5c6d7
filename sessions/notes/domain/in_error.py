"""A note written for the wrong client or session, entered in error alone; a draft that nobody can
sign. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected, invalid
from practice.core.terms import Role
from sessions.calendar.domain.events import SessionCompletionTakenBack
from sessions.measurements.domain.reactors import measured_in_error
from sessions.measurements.domain.state import MeasurementsState
from sessions.notes.domain.drafts import Draft
from sessions.notes.domain.events import DraftDiscarded, NoteEnteredInError
from sessions.notes.domain.measured_fields import is_measured
from sessions.notes.domain.state import NotesState


@dataclass(frozen=True, slots=True, kw_only=True)
class EnterNoteInError:
    """``reason``: why. ``with_readings``: what was measured in the session is in error with it."""

    session_id: UUID
    reason: str
    with_readings: bool = False


def decide_note_in_error(
    notes: NotesState, motion: MeasurementsState, command: EnterNoteInError, ctx: Context
) -> Decided:
    """The note of a session says nothing any more, and its session has none again.

    By its author or the owner. Refuses with 403 anyone else, with 404 where nothing was
    signed, with 409 a note that was entered in error before, whose reason stands.
    """
    note = notes.once_signed(command.session_id)
    if note.in_error:
        raise Rejected(
            "nothing_to_correct",
            "The note of this session was entered in error before, for a reason that stands:"
            f" {note.in_error}",
            extra={"entered_in_error": note.in_error},
        )
    if ctx.actor.role is not Role.OWNER and ctx.actor.practitioner_id != note.practitioner_id:
        raise Rejected(
            "not_your_note", "Only its author or the owner enters a note in error.", status=403
        )
    reason = _reason(command.reason, "Say why the note is entered in error.")
    measured = measured_in_error(motion, note.session_id, reason) if command.with_readings else []
    return [
        NoteEnteredInError(
            note_id=note.note_id, session_id=note.session_id, reason=reason, session_stands=True
        ),
        SessionCompletionTakenBack(session_id=note.session_id, note_id=note.note_id, reason=reason),
        *measured,
    ]


def begin_anew(signed: Draft, unsent: Draft | None) -> Draft:
    """The draft of a session whose note was entered in error: nothing that was signed stands in
    it; what had come in after the signature and was not sent does.

    It goes on from what was met of each device, so that a save that comes once more is known.
    """
    draft = signed if unsent is None else unsent
    was = signed.content()
    open_ = draft.collisions()
    draft.put_back(
        {
            name: None
            for name, value in draft.content().items()
            if was.get(name) == value and name not in open_ and not is_measured(name)
        }
    )
    return draft


def decide_discard_draft(
    session_id: UUID, practitioner_id: UUID, fields: int, reason: str
) -> Decided:
    """Discard a draft that nobody can sign; the record keeps that it was, and why."""
    return [
        DraftDiscarded(
            session_id=session_id,
            practitioner_id=practitioner_id,
            fields=fields,
            reason=_reason(reason, "Say why it is discarded."),
        )
    ]


def _reason(text: str, missing: str) -> str:
    if not text.strip():
        raise invalid("reason", missing)
    return text.strip()
