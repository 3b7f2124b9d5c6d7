"""What the co-signature of a note leaves on the client's stream."""

from __future__ import annotations

from typing import Literal
from uuid import UUID

from practice.core.events import Event, event
from practice.core.reasons import Reason
from practice.core.terms import Credential


@event("note.co_signature_required")
class CoSignatureRequired(Event, frozen=True, kw_only=True):
    """The note waits for the supervisor's co-signature: work in it stands on supervision, or the
    practice asks for it. Written with the signature, or with an addendum that brought such work.
    """

    note_id: UUID
    session_id: UUID
    reasons: tuple[Reason, ...]


@event("note.co_signed")
class NoteCoSigned(Event, frozen=True, kw_only=True):
    """Who supervised its author that day has read the note with its addenda and co-signed it.

    ``credential``: theirs at the time; ``supervision_id``: the row by which they supervised, or
    the ``naming_id`` by which they were named; ``words``: their own, if any.
    """

    note_id: UUID
    session_id: UUID
    practitioner_id: UUID
    credential: Credential
    supervision_id: UUID
    words: str = ""


@event("note.returned")
class NoteReturned(Event, frozen=True, kw_only=True):
    """Who may co-sign the note sent it back; its author answers by an addendum."""

    note_id: UUID
    session_id: UUID
    practitioner_id: UUID
    credential: Credential
    supervision_id: UUID
    reason: str


@event("note.return_taken_back")
class NoteReturnTakenBack(Event, frozen=True, kw_only=True):
    """Who returned the note takes that back, as it was not answered yet. ``leaves``: where the
    co-signature stands then; ``returned``: somebody else's return stands."""

    note_id: UUID
    session_id: UUID
    practitioner_id: UUID
    credential: Credential
    reason: str
    leaves: Literal["waiting", "returned", "addendum_since"]


@event("note.co_signer_named")
class CoSignerNamed(Event, frozen=True, kw_only=True):
    """The owner names who co-signs a note, since nobody who supervised its author that day can.

    ``name``, ``credential``: theirs at the time; ``because``: why those of that day cannot.
    """

    naming_id: UUID
    note_id: UUID
    session_id: UUID
    practitioner_id: UUID
    name: str
    credential: Credential
    because: tuple[str, ...]
    reason: str
