"""The slice of the progress notes on record. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from uuid import UUID

from billing.authorizations.domain.state import AuthorizationBalance
from billing.authorizations.domain.terms import Discipline
from billing.progress_notes.domain import events
from billing.progress_notes.domain.counting import DisciplineNotes, is_treatment_day
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.reasons import Rejected, existing


@dataclass(frozen=True, slots=True)
class ProgressNotesState:
    """The notes that were recorded, by id; those ``in_error`` count for nothing."""

    notes: Mapping[UUID, events.ProgressNoteRecorded] = field(default_factory=dict)
    in_error: frozenset[UUID] = frozenset()

    def standing(self, note_id: UUID) -> events.ProgressNoteRecorded:
        """One that stands; Rejected 404 where there is none, 409 where it was entered in error."""
        found = existing(self.notes.get(note_id), "progress note")
        if note_id in self.in_error:
            raise Rejected(
                "progress_note_in_error",
                "This progress note was entered in error already. Nothing was changed.",
            )
        return found

    def of(self, discipline: Discipline, balance: AuthorizationBalance) -> DisciplineNotes:
        """The treatment days of a discipline as billing has them, and what notes cover of them."""
        days = (one.last for one in balance.visits.values() if one.last.discipline is discipline)
        return DisciplineNotes(
            frozenset(one.local_date for one in days if is_treatment_day(one)),
            frozenset(
                one.covers_until
                for note_id, one in self.notes.items()
                if one.discipline is discipline and note_id not in self.in_error
            ),
        )


@dataclass
class _Builder:
    notes: dict[UUID, events.ProgressNoteRecorded] = field(default_factory=dict)
    in_error: set[UUID] = field(default_factory=set)


def _freeze(builder: _Builder) -> ProgressNotesState:
    return ProgressNotesState(MappingProxyType(dict(builder.notes)), frozenset(builder.in_error))


PROGRESS_NOTES: Slice[_Builder, ProgressNotesState] = Slice(
    "progress_notes", initial=_Builder, freeze=_freeze, watches=(events,)
)


@PROGRESS_NOTES.on(events.ProgressNoteRecorded)
def recorded(builder: _Builder, event: events.ProgressNoteRecorded, meta: RecordedEvent) -> None:
    builder.notes[event.progress_note_id] = event


@PROGRESS_NOTES.on(events.ProgressNoteEnteredInError)
def entered_in_error(
    builder: _Builder, event: events.ProgressNoteEnteredInError, meta: RecordedEvent
) -> None:
    builder.in_error.add(event.progress_note_id)
