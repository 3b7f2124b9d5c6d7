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
    """A signed note as later decisions need it. ``minutes`` with corrections taken in.

    ``marked``: lines found outside their permission by a fact that was recorded later.
    """

    note_id: UUID
    session_id: UUID
    practitioner_id: UUID
    facility_id: UUID
    started_at: datetime
    signed_at: datetime
    minutes: tuple[events.NotePartMinutes, ...]
    lines: tuple[events.NoteLine, ...]
    explained: frozenset[UUID]
    addenda: tuple[UUID, ...] = ()
    marked: frozenset[UUID] = frozenset()


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
    "notes", initial=dict, freeze=_freeze, watches=(events,)
)


@NOTES.on(events.NoteSigned)
def signed(builder: NotesBuilder, event: events.NoteSigned, meta: RecordedEvent) -> None:
    builder[event.session_id] = SignedNote(
        note_id=event.note_id,
        session_id=event.session_id,
        practitioner_id=event.practitioner_id,
        facility_id=event.facility_id,
        started_at=event.started_at,
        signed_at=meta.recorded_at,
        minutes=event.minutes,
        lines=event.lines,
        explained=frozenset(one.line_id for one in event.outside),
    )


@NOTES.on(events.AddendumAdded)
def addendum_added(builder: NotesBuilder, event: events.AddendumAdded, meta: RecordedEvent) -> None:
    if (note := builder.get(event.session_id)) is not None:
        minutes = note.minutes if event.corrected_minutes is None else event.corrected_minutes
        addenda = (*note.addenda, event.addendum_id)
        builder[event.session_id] = replace(note, addenda=addenda, minutes=minutes)


@NOTES.on(events.NoteMarkedOutside)
def marked_outside(
    builder: NotesBuilder, event: events.NoteMarkedOutside, meta: RecordedEvent
) -> None:
    if (note := builder.get(event.session_id)) is not None:
        marked = note.marked | {one.line_id for one in event.lines}
        builder[event.session_id] = replace(note, marked=marked)
