"""Progress notes and waiting periods as shown, with names."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any
from uuid import UUID

from billing.progress_notes.models import ProgressNote, TreatmentPeriod
from billing.progress_notes.selectors.periods import held_by, period_due, progress_note_row
from billing.progress_notes.serializers import (
    ProgressNoteDueOutputSerializer,
    ProgressNoteOutputSerializer,
)
from clients.identity.display_names import with_display_names
from practice.http.representations import Representation
from practice.people_and_places.selectors.kept import practitioner_names
from practice.work.unit_of_work import Outcome, UnitOfWork


def serialize_progress_notes(rows: Iterable[ProgressNote]) -> Any:
    """Notes with the names of their authors."""
    names, found = practitioner_names(), list(rows)
    for row in found:
        row.author_name = names.get(row.author_id, "")  # type: ignore[attr-defined]
    return ProgressNoteOutputSerializer(found, many=True).data


def serialize_due(rows: Sequence[TreatmentPeriod], day: date, payer_id: UUID | None) -> Any:
    """Waiting periods with names, and with what the payer asks on a day."""
    named: list[Any] = with_display_names(rows)
    first = min((row.begins_on for row in named), default=day)
    held = held_by({row.client_id for row in named}, since=first)
    shown = []
    for row in named:
        due = period_due(row, day, held, payer_id)
        if due is not None:
            standing = due.standing
            shown.append(
                {
                    "id": row.pk,
                    "client_id": row.client_id,
                    "client_name": row.client_name,
                    "discipline": row.discipline,
                    "payer_id": due.payer_id,
                    "payer_name": due.payer_name,
                    "source": due.source,
                    "status": standing.status,
                    "begins_on": standing.begins_on,
                    "treatment_days": standing.days,
                    "days_left": standing.days_left,
                    "due_on": standing.due_on,
                }
            )
    return ProgressNoteDueOutputSerializer(shown, many=True).data


def render_progress_note(_uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The note as it stands after a command."""
    row = progress_note_row(outcome.entity_id)
    (shown,) = serialize_progress_notes([row])
    return Representation(shown, row.version)
