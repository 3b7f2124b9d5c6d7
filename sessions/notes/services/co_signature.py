"""Co-signing the note of another, sending it back to its author, naming who co-signs it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any
from uuid import UUID

from practice.core.decisions import Decided
from practice.core.reasons import check_version, existing, invalid
from practice.people_and_places.supervision import supervised_by
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.sessions import SessionCommandResult
from sessions.calendar.selectors.sessions import session_get
from sessions.notes.domain.co_signatures import CO_SIGNATURES, CoSignatures
from sessions.notes.domain.co_signers import CoSigner, decide_co_sign, decide_return
from sessions.notes.domain.co_signers_named import decide_name_co_signer, decide_take_return_back
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


def note_return_take_back(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int
) -> SessionCommandResult:
    """Take the caller's own return of a note back with the ``reason``, before it was answered."""
    decide = partial(decide_take_return_back, asks=uow.actor.practitioner_id)
    return _looked_at(uow, session_id, if_match, decide, command["reason"])


def co_signer_name(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int
) -> SessionCommandResult:
    """Name who co-signs a note in place of those of that day, none of whom can.

    ``command``: ``practitioner_id`` and the ``reason``. Raises Rejected: 400 for nobody of that
    id, 404 for no signed note, 412 for one that has moved on, and what the decision refuses.
    """
    note = _note_read(uow, session_id, if_match)
    work, named = work_of(note), command["practitioner_id"]
    others = {named, *([note.co_signer_id] if note.co_signer_id else [])}
    rows = CoSignerRows([(note.practitioner_id, note.local_date)], others)
    if not rows.knows(named):
        raise invalid("practitioner_id", "There is no such practitioner.")
    who = rows.co_signer(named, work, uow.now, supervised_by(work.author_id, work.day))
    of_that_day = rows.of(work, uow.now)
    outcome = uow.execute(
        note.client_id,
        (NOTES, CO_SIGNATURES),
        lambda states, ctx: decide_name_co_signer(
            states[NOTES],
            states[CO_SIGNATURES],
            session_id,
            who,
            of_that_day,
            command["reason"],
            ctx,
        ),
    )
    return SessionCommandResult(session_id, note.client_id, outcome)


def _note_read(uow: UnitOfWork, session_id: UUID, if_match: int) -> Note:
    """The last signed note of a session as it was read, under its client's lock."""
    row = session_get(uow.actor, session_id)
    uow.lock(row.client_id)
    signed = notes_of(row.pk)
    note = existing(signed[-1] if signed else None, "signed note")
    check_version(note.version, if_match, MOVED_ON)
    return note


def _looked_at(
    uow: UnitOfWork, session_id: UUID, if_match: int, decide: Decide, words: str
) -> SessionCommandResult:
    note = _note_read(uow, session_id, if_match)
    who = _caller(uow, note)
    outcome = uow.execute(
        note.client_id,
        (NOTES, CO_SIGNATURES),
        lambda states, _: decide(states[NOTES], states[CO_SIGNATURES], session_id, who, words),
    )
    return SessionCommandResult(session_id, note.client_id, outcome)


def _caller(uow: UnitOfWork, note: Note) -> CoSigner | None:
    """The caller among those who supervised the note's author that day or were named for it."""
    named = [] if note.co_signer_id is None else [note.co_signer_id]
    rows = CoSignerRows([(note.practitioner_id, note.local_date)], named)
    found = rows.of(work_of(note), uow.now)
    asks = uow.actor.practitioner_id
    return next((one for one in found if one.practitioner_id == asks), None)
