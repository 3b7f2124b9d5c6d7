"""Taking the words of a note entered in error over to the session where they belong."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from practice.work.unit_of_work import UnitOfWork
from sessions.notes.domain.carried import carried_fields
from sessions.notes.domain.content import LINE_PREFIXES, TEXT_FIELDS
from sessions.notes.domain.draft_fields import DraftSave
from sessions.notes.models import Note
from sessions.notes.selectors.notes import re_entered
from sessions.notes.services.drafts import DraftSaveOutcome, device_of, draft_opened, take_save


def words_carry(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int
) -> DraftSaveOutcome:
    """Take over the caller's own words of a note entered in error, as one save of a device.

    ``command``: ``device``, ``app_start``, ``sequence`` and ``carry_from``, the note. What the
    draft says already stays. Raises Rejected as a save does, and 400 for a note that is not the
    caller's, is not in error, or whose place another note has taken.
    """
    re_entered(uow.actor, command["carry_from"], field="carry_from")
    opened = draft_opened(uow, session_id)
    known = opened.draft.knows(device_of(command), (if_match, command["sequence"]))
    note = Note.objects.get(pk=command["carry_from"])
    uow.tell_of([note.client_id])
    save = DraftSave(
        device=device_of(command),
        sequence=command["sequence"],
        base=if_match,
        changes={}
        if known
        else carried_fields(_words(note), opened.row.pk, opened.draft.content()),
        carries=True,
    )
    return take_save(uow, opened.paper, save)


def _words(note: Note) -> dict[str, Any]:
    """What a note says, its minutes as they were corrected."""
    return {
        **{name: getattr(note, name) for name in (*TEXT_FIELDS, *LINE_PREFIXES)},
        "minutes": note.current_minutes,
        "not_counted_minutes": note.current_not_counted_minutes,
    }
