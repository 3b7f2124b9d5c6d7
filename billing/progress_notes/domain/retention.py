"""What of progress notes survives an erasure: discipline and days, without where they are. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any
from uuid import UUID

import msgspec

from billing.authorizations.domain.terms import Discipline
from billing.progress_notes.domain.state import PROGRESS_NOTES
from practice.audit.domain.events import RecordClosed
from practice.core.decisions import RetainedFacts, States
from practice.core.terms import Credential

KEPT_AS = "progress_notes"


class RetainedProgressNote(msgspec.Struct, frozen=True, kw_only=True):
    """A note that stood: when it was written, by whom, and until which day it covered."""

    id: UUID
    discipline: Discipline
    written_on: date
    covers_until: date
    author_id: UUID
    credential: Credential


def retained_progress_notes(closed: RecordClosed) -> Iterator[RetainedProgressNote]:
    """The notes that a closing event holds."""
    for plain in closed.retained_facts.get(KEPT_AS, []):
        yield msgspec.convert(plain, RetainedProgressNote)


def _keep(states: States) -> list[dict[str, Any]]:
    state = states[PROGRESS_NOTES]
    plain: list[dict[str, Any]] = msgspec.to_builtins(
        [
            RetainedProgressNote(
                id=note_id,
                discipline=one.discipline,
                written_on=one.written_on,
                covers_until=one.covers_until,
                author_id=one.author_id,
                credential=one.credential,
            )
            for note_id, one in state.notes.items()
            if note_id not in state.in_error
        ]
    )
    return plain


RETAINED_PROGRESS_NOTES = RetainedFacts(app=KEPT_AS, slices=(PROGRESS_NOTES,), retain=_keep)
