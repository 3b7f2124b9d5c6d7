"""Recording that a progress note was written, and taking it back."""

from __future__ import annotations

from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.domain.terms import DISCIPLINE_OF
from billing.payers.selectors import payers_asking_notes
from billing.progress_notes.domain.decisions import (
    Author,
    PayersOfNotes,
    ProgressNoteInError,
    RecordProgressNote,
    enter_progress_note_in_error,
    record_progress_note,
)
from billing.progress_notes.domain.due import held_in
from billing.progress_notes.domain.events import ProgressNoteRecorded
from billing.progress_notes.domain.state import PROGRESS_NOTES
from billing.progress_notes.selectors.periods import note_writers, progress_note_get
from clients.identity.domain.evaluating import check_may_evaluate
from clients.identity.domain.state import IDENTITY
from clients.identity.practitioners import credential_of
from clients.identity.selectors import require_visible_client
from practice.core.decisions import Actor, Context, Decided, States
from practice.core.localtime import local_day
from practice.core.reasons import Rejected
from practice.core.terms import Credential, Role
from practice.work.unit_of_work import Outcome, UnitOfWork


def progress_note_record(
    uow: UnitOfWork, *, client_id: UUID, command: RecordProgressNote
) -> Outcome:
    """A note that the caller wrote. Raises Rejected 403 for a credential that may not evaluate."""
    uow.lock(client_id)
    require_visible_client(uow.actor, client_id)
    author = _author(uow.actor)

    def decide(states: States, ctx: Context) -> Decided:
        details, balance = states[IDENTITY].details, states[AUTHORIZATION_BALANCE]
        if details is None:
            raise Rejected("not_registered", "This client was never registered.")
        notes = states[PROGRESS_NOTES].of(author.discipline, balance)
        payers = PayersOfNotes(payers_asking_notes(command.covers_until), held_in(balance))
        today = local_day(ctx.now, details.zone)
        return record_progress_note(command, author, notes, payers, today, ctx)

    slices = (IDENTITY, AUTHORIZATION_BALANCE, PROGRESS_NOTES)
    outcome = uow.execute(client_id, slices, decide)
    outcome.entity_id = outcome.first(ProgressNoteRecorded).progress_note_id
    return outcome


def progress_note_enter_in_error(
    uow: UnitOfWork, *, progress_note_id: UUID, command: ProgressNoteInError
) -> Outcome:
    """There was no such note; the owner may say so too."""
    client_id = progress_note_get(uow.actor, progress_note_id).client_id
    uow.lock(client_id)
    if uow.actor.role is not Role.OWNER:
        _author(uow.actor)
    outcome = uow.execute(
        client_id,
        (PROGRESS_NOTES,),
        lambda states, _: enter_progress_note_in_error(
            states[PROGRESS_NOTES], progress_note_id, command
        ),
    )
    outcome.entity_id = progress_note_id
    return outcome


def _author(actor: Actor) -> Author:
    """The caller as a clinician who may write a progress note."""
    found = credential_of(actor.practitioner_id)
    check_may_evaluate(found, note_writers())
    if actor.practitioner_id is None or found is None:
        raise Rejected("may_not_evaluate", "This needs a practitioner.", status=403)
    credential = Credential(found)
    return Author(actor.practitioner_id, credential, DISCIPLINE_OF[credential])
