"""Co-signing the note of another, and sending it back to its author."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any
from uuid import UUID

from practice.core.decisions import Decided
from practice.core.reasons import check_version, existing
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.sessions import SessionCommandResult
from sessions.calendar.selectors.sessions import session_get
from sessions.notes.domain.co_signatures import CO_SIGNATURES, CoSignatures
from sessions.notes.domain.co_signers import CoSigner, decide_co_sign, decide_return
from sessions.notes.domain.state import NOTES, NotesState
from sessions.notes.models import Note
from sessions.notes.selectors.co_signature import work_of
from sessions.notes.selectors.co_signers import CoSignerRows
from sessions.notes.selectors.notes import notes_of

MOVED_ON = "The note has moved on to version {version}. Read it again, then co-sign or return it."
Decide = Callable[[NotesState, CoSignatures, UUID, CoSigner | None, str], Decided]


def note_co_sign(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int
) -> SessionCommandResult:
    """Co-sign a signed note as it was read, at version ``if_match``, with its addenda.

    ``command``: ``words``, their own, if any. Raises Rejected: 404 for no signed note, 412 for
    one that has moved on, and what the decision refuses.
    """
    return _looked_at(uow, session_id, if_match, decide_co_sign, command.get("words", ""))


def note_return(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int
) -> SessionCommandResult:
    """Send a note back to its author with the ``reason``; they answer by an addendum."""
    return _looked_at(uow, session_id, if_match, decide_return, command["reason"])


def _looked_at(
    uow: UnitOfWork, session_id: UUID, if_match: int, decide: Decide, words: str
) -> SessionCommandResult:
    row = session_get(uow.actor, session_id)
    uow.lock(row.client_id)
    signed = notes_of(row.pk)
    note = existing(signed[-1] if signed else None, "signed note")
    check_version(note.version, if_match, MOVED_ON)
    who = _caller(uow, note)
    outcome = uow.execute(
        row.client_id,
        (NOTES, CO_SIGNATURES),
        lambda states, _: decide(states[NOTES], states[CO_SIGNATURES], session_id, who, words),
    )
    return SessionCommandResult(session_id, row.client_id, outcome)


def _caller(uow: UnitOfWork, note: Note) -> CoSigner | None:
    """The caller among those who supervised the note's author that day."""
    rows = CoSignerRows([(note.practitioner_id, note.local_date)])
    found = rows.of(work_of(note), uow.now)
    asks = uow.actor.practitioner_id
    return next((one for one in found if one.practitioner_id == asks), None)
