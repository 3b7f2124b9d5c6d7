"""What the co-signature of a note leaves on the client's stream."""

from __future__ import annotations

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

    ``credential``: theirs at the time; ``supervision_id``: the row by which they supervised;
    ``words``: their own, if any.
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
