"""Who may co-sign the note of another, and what they decide about it. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from clients.permissions.domain import law
from clients.permissions.domain.inputs import PractitionerFacts
from practice.core.decisions import Decided
from practice.core.reasons import Reason, Rejected, invalid
from practice.core.terms import Credential
from sessions.notes.domain.co_signature_events import (
    CoSignatureRequired,
    NoteCoSigned,
    NoteReturned,
)
from sessions.notes.domain.co_signatures import CoSignatures, CoSignatureStatus
from sessions.notes.domain.events import NoteSigned
from sessions.notes.domain.state import NotesState, SignedNote


@dataclass(frozen=True, slots=True, kw_only=True)
class Naming:
    """Whom the owner named to co-sign a note in place of a supervisor, and why."""

    naming_id: UUID
    practitioner_id: UUID
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteWork:
    """Of a note: whose it is, under which credential, where, and on which local day; the last
    ``naming`` of somebody to co-sign it."""

    author_id: UUID
    credential: Credential
    facility_id: UUID
    day: date
    naming: Naming | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How someone stands to a note: the law of its facility, the day that it is there now,
    whether the facility is one of theirs, and whether the practice's table lets their credential
    supervise the author's. ``below_author``: the author supervised them that day, directly or
    through others, so that nobody could have named them for it."""

    jurisdiction: str
    today: date
    works_at: bool
    entitled: bool
    below_author: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CoSigner:
    """Who supervised the author that day, there (``named``) or elsewhere, by the row
    ``supervision_id``; or whom the owner named, by that naming, for a ``reason``. ``bars``: why
    they may not co-sign the note, as words; none: they may.
    """

    supervision_id: UUID
    practitioner_id: UUID
    name: str
    credential: Credential
    named: bool
    bars: tuple[str, ...] = ()
    reason: str = ""


def bars_of(person: PractitionerFacts, work: NoteWork, standing: Standing) -> tuple[str, ...]:
    """Why someone who supervised the author that day may not co-sign: left the practice, has no
    part in the facility (so cannot read the note), of a credential that does not supervise the
    author's, or without a licence there, on the day of the session or on that of the act."""
    return tuple(_bars(person, work, standing))


def _bars(person: PractitionerFacts, work: NoteWork, standing: Standing) -> Iterator[str]:
    if person.practitioner_id == work.author_id:
        yield "nobody co-signs their own note"
    if not person.works_here:
        yield "has left"
    elif not standing.works_at:
        yield "is not assigned to the facility"
    if standing.below_author:
        yield "worked under its author that day"
    if not standing.entitled:
        yield f"as a {_words(person.credential)} does not supervise a {_words(work.credential)}"
    for day in dict.fromkeys((work.day, standing.today)):
        if not law.licensed(person, standing.jurisdiction, day):
            yield f"has no licence in {standing.jurisdiction} on {day}"


def _words(credential: Credential) -> str:
    return credential.value.replace("_", " ")


def required(signed: NoteSigned, reasons: Sequence[Reason]) -> list[CoSignatureRequired]:
    """What a signature leaves where the note is to be co-signed."""
    return _required(signed.note_id, signed.session_id, reasons)


def required_later(
    notes: NotesState, co_signatures: CoSignatures, session_id: UUID, reasons: Sequence[Reason]
) -> list[CoSignatureRequired]:
    """The same where an addendum brought work that stands on supervision into a note that had
    none of it."""
    if co_signatures.of(session_id).status is not CoSignatureStatus.NOT_REQUIRED:
        return []
    return _required(notes.of(session_id).note_id, session_id, reasons)


def _required(
    note_id: UUID, session_id: UUID, reasons: Sequence[Reason]
) -> list[CoSignatureRequired]:
    if not reasons:
        return []
    return [CoSignatureRequired(note_id=note_id, session_id=session_id, reasons=tuple(reasons))]


def decide_co_sign(
    notes: NotesState,
    co_signatures: CoSignatures,
    session_id: UUID,
    who: CoSigner | None,
    words: str,
) -> Decided:
    """Co-sign a note as it stands with its addenda.

    Refuses with 404 no signed note, with 403 who may not, with 409 a note that waits for none,
    is co-signed, or was returned and not answered.
    """
    note = waiting_note(notes, co_signatures, session_id)
    may = _who_may(who)
    if co_signatures.of(session_id).status is CoSignatureStatus.RETURNED:
        raise Rejected(
            "note_returned",
            "The note was returned: it is co-signed once its author has answered by an addendum.",
        )
    return [
        NoteCoSigned(
            note_id=note.note_id,
            session_id=session_id,
            practitioner_id=may.practitioner_id,
            credential=may.credential,
            supervision_id=may.supervision_id,
            words=words.strip(),
        )
    ]


def decide_return(
    notes: NotesState,
    co_signatures: CoSignatures,
    session_id: UUID,
    who: CoSigner | None,
    reason: str,
) -> Decided:
    """Send a note back to its author, with the reason; refuses as a co-signature does. A second
    return before an answer says more."""
    note = waiting_note(notes, co_signatures, session_id)
    may = _who_may(who)
    if not reason.strip():
        raise invalid("reason", "Say what is to be put right or explained.")
    return [
        NoteReturned(
            note_id=note.note_id,
            session_id=session_id,
            practitioner_id=may.practitioner_id,
            credential=may.credential,
            supervision_id=may.supervision_id,
            reason=reason.strip(),
        )
    ]


def waiting_note(notes: NotesState, co_signatures: CoSignatures, session_id: UUID) -> SignedNote:
    """The note of a session that waits for a co-signature. Raises Rejected 404 or 409."""
    note, status = notes.of(session_id), co_signatures.of(session_id).status
    if status is CoSignatureStatus.NOT_REQUIRED:
        raise Rejected("co_signature_not_required", "This note waits for no co-signature.")
    if status is CoSignatureStatus.CO_SIGNED:
        raise Rejected("already_co_signed", "The note is co-signed and was not added to since.")
    return note


def _who_may(who: CoSigner | None) -> CoSigner:
    """Raises Rejected 403 for nobody, who supervised the author on no row of that day, and for
    one whom something bars."""
    if who is None:
        raise Rejected(
            "may_not_co_sign",
            "Only who supervised its author on the day of the session, or was named by the owner in"
            " their place, co-signs or returns a note.",
            status=403,
        )
    if who.bars:
        raise Rejected(
            "may_not_co_sign",
            f"{who.name} may not co-sign this note: {'; '.join(who.bars)}.",
            status=403,
        )
    return who
