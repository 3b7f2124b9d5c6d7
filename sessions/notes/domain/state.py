"""The notes slice: the signed notes of one client, by session."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from types import MappingProxyType
from uuid import UUID

from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.reasons import Rejected, not_found
from sessions.notes.domain import events


@dataclass(frozen=True, slots=True)
class SignedNote:
    """A signed note as later decisions need it. ``count`` with corrections taken in.

    ``lines`` with those that were sent later; ``marked``: lines found outside their
    permission by a fact that was recorded later. ``in_error``: why it was entered in error.
    """

    note_id: UUID
    session_id: UUID
    practitioner_id: UUID
    facility_id: UUID
    zone: str
    signed_at: datetime
    booked_minutes: int
    count: events.NoteCount
    lines: tuple[events.NoteLine, ...]
    explained: frozenset[UUID]
    addenda: tuple[UUID, ...] = ()
    marked: frozenset[UUID] = frozenset()
    in_error: str = ""

    @property
    def started_at(self) -> datetime:
        """When the session started, as it stands."""
        return self.count.times.started_at

    @property
    def minutes(self) -> tuple[events.NotePartMinutes, ...]:
        """The minutes of each part, as they stand."""
        return self.count.minutes


@dataclass(frozen=True, slots=True)
class NotesState:
    """Every signed note of a client that stands, by session; apart, the last of each session
    that was entered in error."""

    by_session: Mapping[UUID, SignedNote]
    in_error: Mapping[UUID, SignedNote] = field(default_factory=dict)

    def of(self, session_id: UUID) -> SignedNote:
        """The signed note of a session; Rejected 404 where there is none, 409 where it was
        entered in error."""
        if session_id in self.in_error and session_id not in self.by_session:
            raise Rejected(
                "note_entered_in_error",
                "This note was entered in error: nothing is added to it.",
            )
        return self.once_signed(session_id)

    def once_signed(self, session_id: UUID) -> SignedNote:
        """The signed note of a session, one entered in error too; Rejected 404 where there is
        none."""
        found = self.by_session.get(session_id) or self.in_error.get(session_id)
        if found is None:
            raise not_found("signed note")
        return found


@dataclass
class NotesBuilder:
    """What the fold changes."""

    standing: dict[UUID, SignedNote] = field(default_factory=dict)
    in_error: dict[UUID, SignedNote] = field(default_factory=dict)


def _freeze(builder: NotesBuilder) -> NotesState:
    return NotesState(
        MappingProxyType(dict(builder.standing)), MappingProxyType(dict(builder.in_error))
    )


NOTES: Slice[NotesBuilder, NotesState] = Slice(
    "notes",
    initial=NotesBuilder,
    freeze=_freeze,
    watches=(events,),
    ignores=(events.UnsentWordsDiscarded, events.DraftDiscarded),
)


@NOTES.on(events.NoteSigned)
def signed(builder: NotesBuilder, event: events.NoteSigned, meta: RecordedEvent) -> None:
    builder.standing[event.session_id] = SignedNote(
        note_id=event.note_id,
        session_id=event.session_id,
        practitioner_id=event.practitioner_id,
        facility_id=event.facility_id,
        zone=event.zone,
        signed_at=meta.recorded_at,
        booked_minutes=event.booked_minutes,
        count=event.count,
        lines=event.lines,
        explained=frozenset(one.line_id for one in event.outside),
    )


@NOTES.on(events.AddendumAdded)
def addendum_added(builder: NotesBuilder, event: events.AddendumAdded, meta: RecordedEvent) -> None:
    if (note := builder.standing.get(event.session_id)) is None:
        return
    addenda, count = (*note.addenda, event.addendum_id), event.after or note.count
    note = replace(note, addenda=addenda, count=count)
    if event.late is not None:
        late = {line.line_id: line for line in event.late.lines}
        lines = {**{line.line_id: line for line in note.lines}, **late}
        explained = note.explained | {one.line_id for one in event.late.outside}
        note = replace(note, lines=tuple(lines.values()), explained=explained)
    builder.standing[event.session_id] = note


@NOTES.on(events.NoteMarkedOutside)
def marked_outside(
    builder: NotesBuilder, event: events.NoteMarkedOutside, meta: RecordedEvent
) -> None:
    if (note := builder.standing.get(event.session_id)) is not None:
        marked = note.marked | {one.line_id for one in event.lines}
        builder.standing[event.session_id] = replace(note, marked=marked)


@NOTES.on(events.NoteEnteredInError)
def entered_in_error(
    builder: NotesBuilder, event: events.NoteEnteredInError, meta: RecordedEvent
) -> None:
    if (note := builder.standing.pop(event.session_id, None)) is not None:
        builder.in_error[event.session_id] = replace(note, in_error=event.reason)
