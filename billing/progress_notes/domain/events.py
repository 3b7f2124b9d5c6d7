"""That a progress note for payers was written, and for which treatment days."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from billing.authorizations.domain.terms import Discipline
from billing.progress_notes.domain.terms import KeptAs
from practice.core.events import Event, event
from practice.core.terms import Credential


@event("progress_note.recorded")
class ProgressNoteRecorded(Event, frozen=True, kw_only=True):
    """A clinician wrote a progress note on ``written_on``. Its period ends with the treatment day
    ``covers_until``; the next treatment day begins the next one. ``kept_where``: where the note
    itself is found."""

    progress_note_id: UUID
    discipline: Discipline
    written_on: date
    covers_until: date
    author_id: UUID
    credential: Credential
    kept_as: KeptAs
    kept_where: str = ""


@event("progress_note.entered_in_error")
class ProgressNoteEnteredInError(Event, frozen=True, kw_only=True):
    """There was no such note: its treatment days count again; where a later note stands,
    they are of its period."""

    progress_note_id: UUID
    discipline: Discipline
    reason: str
