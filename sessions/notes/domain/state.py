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
from sessions.notes.domain.events import (
    AddendumAdded,
    NoteCount,
    NoteLine,
    NoteMarkedOutside,
    NotePartMinutes,
    NoteSigned,
    UnsentWordsDiscarded,
)


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
    count: NoteCount
    lines: tuple[NoteLine, ...]
    explained: frozenset[UUID]
    addenda: tuple[UUID, ...] = ()
    marked: frozenset[UUID] = frozenset()

    @property
    def started_at(self) -> datetime:
        """When the session started, as it stands."""
        return self.count.times.started_at

    @property
    def minutes(self) -> tuple[NotePartMinutes, ...]:
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


def _evolve(builder: NotesBuilder, rec: RecordedEvent) -> None:
    match rec.data:
        case NoteSigned() as signed:
            builder[signed.session_id] = SignedNote(
                note_id=signed.note_id,
                session_id=signed.session_id,
                practitioner_id=signed.practitioner_id,
                facility_id=signed.facility_id,
                zone=signed.zone,
                signed_at=rec.recorded_at,
                booked_minutes=signed.booked_minutes,
                count=signed.count,
                lines=signed.lines,
                explained=frozenset(one.line_id for one in signed.outside),
            )
        case AddendumAdded() as added if added.session_id in builder:
            builder[added.session_id] = _added(builder[added.session_id], added)
        case NoteMarkedOutside() as outside if outside.session_id in builder:
            note = builder[outside.session_id]
            lines = note.marked | {one.line_id for one in outside.lines}
            builder[outside.session_id] = replace(note, marked=lines)


def _added(note: SignedNote, added: AddendumAdded) -> SignedNote:
    note = replace(
        note, addenda=(*note.addenda, added.addendum_id), count=added.after or note.count
    )
    if added.late is None:
        return note
    late = {line.line_id: line for line in added.late.lines}
    lines = {**{line.line_id: line for line in note.lines}, **late}
    explained = note.explained | {one.line_id for one in added.late.outside}
    return replace(note, lines=tuple(lines.values()), explained=explained)


def _freeze(builder: NotesBuilder) -> NotesState:
    return NotesState(MappingProxyType(dict(builder)))


NOTES: Slice[NotesBuilder, NotesState] = Slice(
    name="notes",
    folds=(NoteSigned, AddendumAdded, NoteMarkedOutside, UnsentWordsDiscarded),
    initial=dict,
    evolve=_evolve,
    freeze=_freeze,
)
