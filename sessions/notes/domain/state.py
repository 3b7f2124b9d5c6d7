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
    NoteLine,
    NoteMarkedOutside,
    NotePartMinutes,
    NoteSigned,
)


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
    minutes: tuple[NotePartMinutes, ...]
    lines: tuple[NoteLine, ...]
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


def _evolve(builder: NotesBuilder, rec: RecordedEvent) -> None:
    match rec.data:
        case NoteSigned() as signed:
            builder[signed.session_id] = SignedNote(
                note_id=signed.note_id,
                session_id=signed.session_id,
                practitioner_id=signed.practitioner_id,
                facility_id=signed.facility_id,
                started_at=signed.started_at,
                signed_at=rec.recorded_at,
                minutes=signed.minutes,
                lines=signed.lines,
                explained=frozenset(one.line_id for one in signed.outside),
            )
        case AddendumAdded() as added if added.session_id in builder:
            note = builder[added.session_id]
            minutes = note.minutes if added.corrected_minutes is None else added.corrected_minutes
            builder[added.session_id] = replace(
                note, addenda=(*note.addenda, added.addendum_id), minutes=minutes
            )
        case NoteMarkedOutside() as outside if outside.session_id in builder:
            note = builder[outside.session_id]
            lines = note.marked | {one.line_id for one in outside.lines}
            builder[outside.session_id] = replace(note, marked=lines)


def _freeze(builder: NotesBuilder) -> NotesState:
    return NotesState(MappingProxyType(dict(builder)))


NOTES: Slice[NotesBuilder, NotesState] = Slice(
    name="notes",
    folds=(NoteSigned, AddendumAdded, NoteMarkedOutside),
    initial=dict,
    evolve=_evolve,
    freeze=_freeze,
)
