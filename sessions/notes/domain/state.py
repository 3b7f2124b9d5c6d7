"""The notes slice: the signed notes of one client, by session."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from types import MappingProxyType
from uuid import UUID

from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.reasons import not_found
from sessions.notes.domain import events


@dataclass(frozen=True, slots=True)
class SignedNote:
    """A signed note as later decisions need it. ``count`` with corrections taken in.

    ``lines`` with those that were sent later; ``marked``: lines found outside their
    permission by a fact that was recorded later.
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
    """Every signed note of a client, by session."""

    by_session: Mapping[UUID, SignedNote]

    def of(self, session_id: UUID) -> SignedNote:
        """The signed note of a session; Rejected 404 where there is none."""
        found = self.by_session.get(session_id)
        if found is None:
            raise not_found("signed note")
        return found


NotesBuilder = dict[UUID, SignedNote]


def _freeze(builder: NotesBuilder) -> NotesState:
    return NotesState(MappingProxyType(dict(builder)))


NOTES: Slice[NotesBuilder, NotesState] = Slice(
    "notes", initial=dict, freeze=_freeze, watches=(events,), ignores=(events.UnsentWordsDiscarded,)
)


@NOTES.on(events.NoteSigned)
def signed(builder: NotesBuilder, event: events.NoteSigned, meta: RecordedEvent) -> None:
    builder[event.session_id] = SignedNote(
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
    if (note := builder.get(event.session_id)) is None:
        return
    addenda, count = (*note.addenda, event.addendum_id), event.after or note.count
    note = replace(note, addenda=addenda, count=count)
    if event.late is not None:
        late = {line.line_id: line for line in event.late.lines}
        lines = {**{line.line_id: line for line in note.lines}, **late}
        explained = note.explained | {one.line_id for one in event.late.outside}
        note = replace(note, lines=tuple(lines.values()), explained=explained)
    builder[event.session_id] = note


@NOTES.on(events.NoteMarkedOutside)
def marked_outside(
    builder: NotesBuilder, event: events.NoteMarkedOutside, meta: RecordedEvent
) -> None:
    if (note := builder.get(event.session_id)) is not None:
        marked = note.marked | {one.line_id for one in event.lines}
        builder[event.session_id] = replace(note, marked=marked)
