"""A co-signature that nobody of that day can give, and a return that is taken back. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected, invalid
from sessions.notes.domain.co_signature_events import CoSignerNamed, NoteReturnTakenBack
from sessions.notes.domain.co_signature_texts import nobody_can
from sessions.notes.domain.co_signatures import CoSignatures, CoSignatureStatus
from sessions.notes.domain.co_signers import CoSigner, waiting_note
from sessions.notes.domain.state import NotesState


def decide_name_co_signer(
    notes: NotesState,
    co_signatures: CoSignatures,
    session_id: UUID,
    who: CoSigner,
    of_that_day: Sequence[CoSigner],
    reason: str,
    ctx: Context,
) -> Decided:
    """Name ``who`` to co-sign a note in place of those ``of_that_day``, none of whom can.

    Refuses with 400 no reason, with 409 a note that waits for no co-signature, somebody whom
    something bars, and where somebody of that day, or one named before, can co-sign it.
    """
    note = waiting_note(notes, co_signatures, session_id)
    if not reason.strip():
        raise invalid("reason", "Say why this person is named in place of the supervisor.")
    because = nobody_can(of_that_day)
    if not because:
        may = ", ".join(one.name for one in of_that_day if not one.bars)
        raise Rejected(
            "somebody_can_co_sign", f"{may} can co-sign this note: nobody is named in their place."
        )
    if who.bars:
        raise Rejected(
            "may_not_co_sign", f"{who.name} may not co-sign this note: {'; '.join(who.bars)}."
        )
    return [
        CoSignerNamed(
            naming_id=ctx.new_id(),
            note_id=note.note_id,
            session_id=session_id,
            practitioner_id=who.practitioner_id,
            name=who.name,
            credential=who.credential,
            because=tuple(because),
            reason=reason.strip(),
        )
    ]


def decide_take_return_back(
    notes: NotesState,
    co_signatures: CoSignatures,
    session_id: UUID,
    who: CoSigner | None,
    reason: str,
    asks: UUID | None,
) -> Decided:
    """Take one's own return of a note back, while its author has not answered it.

    ``asks``: the caller, ``who`` they are as a co-signer of this note, if they are one still.
    Refuses with 404 no signed note, with 409 a note that is not returned, or was answered, with
    403 who did not return it, and who did and is no co-signer of it any more (another was named
    since, or the supervision was taken off the record), with 400 no reason.
    """
    note, state = notes.of(session_id), co_signatures.of(session_id)
    if state.status is not CoSignatureStatus.RETURNED:
        raise Rejected(
            "not_returned", "No return of this note stands: its author may have answered it."
        )
    if asks not in state.returned_by:
        raise Rejected("not_your_return", "Only who returned the note takes it back.", status=403)
    if who is None:
        stands = "your return stands until its author answers by an addendum."
        if state.named is None:
            raise Rejected(
                "may_not_co_sign",
                "You returned this note, and by what is on record now you did not supervise its"
                f" author that day: {stands}",
                status=403,
            )
        raise Rejected(
            "named_since",
            f"You returned this note, and since then the owner named {state.named.name} to co-sign"
            f" it in your place: {stands}",
            status=403,
        )
    if not reason.strip():
        raise invalid("reason", "Say why the return is taken back.")
    leaves = state.without_return(who.practitioner_id)
    return [
        NoteReturnTakenBack(
            note_id=note.note_id,
            session_id=session_id,
            practitioner_id=who.practitioner_id,
            credential=who.credential,
            reason=reason.strip(),
            leaves=leaves.value,  # type: ignore[arg-type]  # one of the three
        )
    ]
