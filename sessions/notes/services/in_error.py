"""A note entered in error while its session stands; a draft that nobody can sign discarded."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from practice.core.reasons import Reason, Rejected, check_version, not_found
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.sessions import SessionCommandResult
from sessions.calendar.domain.session_state import STATUS_TEXT, SessionStatus
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.selectors.sessions import session_get
from sessions.measurements.domain.follow_up import (
    prompts_on_errors,
    slices_followed,
    warnings_from,
)
from sessions.measurements.domain.state import MEASUREMENTS
from sessions.notes.domain.drafts import WRITABLE
from sessions.notes.domain.in_error import (
    EnterNoteInError,
    begin_anew,
    decide_discard_draft,
    decide_note_in_error,
)
from sessions.notes.domain.state import NOTES
from sessions.notes.models import NoteDraft
from sessions.notes.selectors.measured import measured_in
from sessions.notes.selectors.notes import notes_standing
from sessions.notes.services.drafts import lock_draft
from sessions.notes.services.kept_drafts import decrypt_draft, encrypt_draft

SLICES = (NOTES, CALENDAR, MEASUREMENTS)
NOTE_MOVED_ON = "The note is at version {version} now. Read it again, then enter it in error."
DRAFT_MOVED_ON = "The draft is at revision {version} now. Read it again, then discard it."


def note_enter_in_error(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> SessionCommandResult:
    """Enter the signed note of a session in error, which stands and has no note again.

    ``command``: ``reason``, and ``with_readings`` where what was measured in the session is in
    error too. What the note used of an authorization and what it started is given back by those
    who reacted to it. Its author writes a new note in the draft, in which nothing signed stands.
    """
    row = session_get(uow.actor, session_id)
    uow.lock(row.client_id)
    note = notes_standing().filter(session_id=row.pk).first()
    if note is not None:
        check_version(note.version, if_match, NOTE_MOVED_ON)
    paper = None if note is None else lock_draft(row.pk, note.practitioner_id)
    entry = EnterNoteInError(session_id=row.pk, **command)
    outcome = uow.execute(
        row.client_id,
        (*SLICES, *slices_followed()),
        lambda states, ctx: decide_note_in_error(states[NOTES], states[MEASUREMENTS], entry, ctx),
    )
    warnings = warnings_from(outcome.events)
    if entry.with_readings:
        followed = uow.states(row.client_id, (MEASUREMENTS, *slices_followed()))
        warnings += prompts_on_errors(followed)
    warnings += _still_measured(row.client_id, row.pk)
    if paper is not None and _begin_anew(uow, paper):
        warnings.append(
            _told("unsent_words", "Words that came in after the signature stand in the draft now.")
        )
    return SessionCommandResult(row.pk, row.client_id, outcome, warnings)


def draft_discard(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int
) -> SessionCommandResult:
    """Discard the caller's draft of a session that has no note, at the revision that was read.

    ``command``: ``reason``. Raises Rejected: 404 where there is none of theirs, 409 where the
    session can still have its note, 412 for a draft that has moved on.
    """
    row = session_get(uow.actor, session_id)
    uow.lock(row.client_id)
    row.refresh_from_db()
    paper = lock_draft(row.pk, uow.actor.practitioner_id)
    if paper is None or paper.closed:
        raise not_found("draft of yours")
    if row.status in WRITABLE:
        raise Rejected(
            "draft_open",
            f"The session is {STATUS_TEXT[SessionStatus(row.status)]}: its note can still be"
            " written. Take out by a save what does not belong.",
            extra={"session_status": row.status},
        )
    check_version(paper.revision, if_match, DRAFT_MOVED_ON)
    draft, author, reason = decrypt_draft(paper), paper.practitioner_id, command["reason"]
    fields = len({*draft.content(), *draft.collisions()})
    outcome = uow.execute(
        row.client_id, (NOTES,), lambda _s, _c: decide_discard_draft(row.pk, author, fields, reason)
    )
    paper.delete()
    return SessionCommandResult(row.pk, row.client_id, outcome)


def _begin_anew(uow: UnitOfWork, paper: NoteDraft) -> bool:
    """Open the draft of a signed note again, for another note; whether unsent words stand in it."""
    unsent = decrypt_draft(paper, unsent=True) if paper.unsent else None
    draft = begin_anew(decrypt_draft(paper), unsent)
    # The note that is signed from it next is another one: it takes its id from here.
    new_id = uow.context.new_id()
    NoteDraft.objects.filter(pk=paper.pk).update(id=new_id)
    paper.id = new_id
    encrypt_draft(paper, draft)
    paper.unsent, paper.closed, paper.revision = b"", False, draft.revision
    paper.updated_at = uow.now
    paper.save()
    return unsent is not None


def _still_measured(client_id: UUID, session_id: UUID) -> list[Reason]:
    """What was measured in the session stands; it may be another client's too."""
    if not any(measured_in(client_id, session_id).values()):
        return []
    text = (
        "What was measured in the session stands (`measured`). Where that is in error too, enter"
        " each in error by its own address."
    )
    return [_told("measured_stands", text)]


def _told(code: str, text: str) -> Reason:
    return Reason(code=code, text=text, source="practice policy")
