"""Where the co-signature of each note of a client stands. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from types import MappingProxyType
from uuid import UUID

from practice.core.decisions import Slice
from practice.core.dispatch import events_of
from practice.core.events import RecordedEvent
from sessions.notes.domain import co_signature_events, events


class CoSignatureStatus(StrEnum):
    """Where the co-signature of a note stands."""

    NOT_REQUIRED = "not_required"
    WAITING = "waiting"
    RETURNED = "returned"
    CO_SIGNED = "co_signed"
    ADDENDUM_SINCE = "addendum_since"


NAMED, TAKEN_BACK = "named", "return_taken_back"
"""What is done about a co-signature beside giving it and returning the note."""
OPEN = (
    CoSignatureStatus.WAITING,
    CoSignatureStatus.RETURNED,
    CoSignatureStatus.ADDENDUM_SINCE,
)
"""Somebody still has to look at the note or answer."""
AFTER_ADDENDUM = {
    CoSignatureStatus.RETURNED: CoSignatureStatus.WAITING,
    CoSignatureStatus.CO_SIGNED: CoSignatureStatus.ADDENDUM_SINCE,
}
"""An addendum answers a return; after a co-signature it wants another look."""


def after_addendum(status: CoSignatureStatus) -> CoSignatureStatus:
    """Where the co-signature stands once the note was added to."""
    return AFTER_ADDENDUM.get(status, status)


@dataclass(frozen=True, slots=True)
class NamedCoSigner:
    """Who was named by the owner to co-sign a note in place of a supervisor, and why."""

    practitioner_id: UUID
    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class CoSignature:
    """That of one note. ``awaited``: it was never given since it was required, so that nothing
    is drawn for the note; later words do not take it back. ``returned_by``: whose return stands
    and was not answered yet. ``named``: who was named to give it in place of a supervisor."""

    status: CoSignatureStatus = CoSignatureStatus.NOT_REQUIRED
    awaited: bool = False
    returned_by: tuple[UUID, ...] = ()
    named: NamedCoSigner | None = None

    def without_return(self, practitioner_id: UUID) -> CoSignatureStatus:
        """Where it stands once somebody takes their return back."""
        if set(self.returned_by) - {practitioner_id}:
            return CoSignatureStatus.RETURNED
        return CoSignatureStatus.WAITING if self.awaited else CoSignatureStatus.ADDENDUM_SINCE


NOT_REQUIRED = CoSignature()


@dataclass(frozen=True, slots=True)
class CoSignatures:
    """Those of a client's notes, by session."""

    by_session: Mapping[UUID, CoSignature]

    def of(self, session_id: UUID) -> CoSignature:
        """That of a session's note."""
        return self.by_session.get(session_id, NOT_REQUIRED)


@dataclass
class CoSignaturesBuilder:
    """What the fold changes."""

    found: dict[UUID, CoSignature] = field(default_factory=dict)


CO_SIGNATURES: Slice[CoSignaturesBuilder, CoSignatures] = Slice(
    "co_signatures",
    initial=CoSignaturesBuilder,
    freeze=lambda builder: CoSignatures(MappingProxyType(dict(builder.found))),
    watches=(events, co_signature_events),
    # Of notes an addendum and an entry in error alone change where a co-signature stands.
    ignores=tuple(
        cls
        for cls in events_of(events)
        if cls not in (events.AddendumAdded, events.NoteEnteredInError)
    ),
)


@CO_SIGNATURES.on(co_signature_events.CoSignatureRequired)
def required(
    builder: CoSignaturesBuilder,
    event: co_signature_events.CoSignatureRequired,
    meta: RecordedEvent,
) -> None:
    """It waits from here on."""
    builder.found[event.session_id] = CoSignature(CoSignatureStatus.WAITING, awaited=True)


@CO_SIGNATURES.on(co_signature_events.CoSignerNamed)
def named(
    builder: CoSignaturesBuilder, event: co_signature_events.CoSignerNamed, meta: RecordedEvent
) -> None:
    """Somebody may give it in place of a supervisor."""
    before = builder.found.get(event.session_id, NOT_REQUIRED)
    builder.found[event.session_id] = replace(
        before, named=NamedCoSigner(event.practitioner_id, event.name, event.reason)
    )


@CO_SIGNATURES.on(co_signature_events.NoteCoSigned)
def co_signed(
    builder: CoSignaturesBuilder, event: co_signature_events.NoteCoSigned, meta: RecordedEvent
) -> None:
    """It waits no more."""
    named = builder.found.get(event.session_id, NOT_REQUIRED).named
    builder.found[event.session_id] = CoSignature(CoSignatureStatus.CO_SIGNED, named=named)


@CO_SIGNATURES.on(co_signature_events.NoteReturned)
def returned(
    builder: CoSignaturesBuilder, event: co_signature_events.NoteReturned, meta: RecordedEvent
) -> None:
    """It waits for its author; what was co-signed once stays so for what is drawn."""
    before = builder.found.get(event.session_id, NOT_REQUIRED)
    builder.found[event.session_id] = replace(
        before,
        status=CoSignatureStatus.RETURNED,
        returned_by=tuple(dict.fromkeys((*before.returned_by, event.practitioner_id))),
    )


@CO_SIGNATURES.on(co_signature_events.NoteReturnTakenBack)
def return_taken_back(
    builder: CoSignaturesBuilder,
    event: co_signature_events.NoteReturnTakenBack,
    meta: RecordedEvent,
) -> None:
    """It stands as before the return."""
    before = builder.found.get(event.session_id, NOT_REQUIRED)
    builder.found[event.session_id] = replace(
        before,
        status=CoSignatureStatus(event.leaves),
        returned_by=tuple(one for one in before.returned_by if one != event.practitioner_id),
    )


@CO_SIGNATURES.on(events.AddendumAdded)
def addendum_added(
    builder: CoSignaturesBuilder, event: events.AddendumAdded, meta: RecordedEvent
) -> None:
    """It answers a return; after a co-signature it wants another look."""
    if (before := builder.found.get(event.session_id)) is not None:
        builder.found[event.session_id] = replace(
            before, status=after_addendum(before.status), returned_by=()
        )


@CO_SIGNATURES.on(events.NoteEnteredInError)
def entered_in_error(
    builder: CoSignaturesBuilder, event: events.NoteEnteredInError, meta: RecordedEvent
) -> None:
    """It says nothing any more: a note that is written in its place is judged anew."""
    builder.found.pop(event.session_id, None)
