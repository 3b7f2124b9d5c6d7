"""The rows of progress notes and of running periods, from the events of one client. Pure."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID, uuid5

from billing.authorizations.domain import events as billing_events
from billing.authorizations.domain.events import VisitCalculated
from billing.authorizations.domain.terms import Discipline
from billing.progress_notes.domain import events
from billing.progress_notes.domain.counting import DisciplineNotes, is_treatment_day
from billing.progress_notes.domain.retention import retained_progress_notes
from practice.audit.domain import events as erasure_events
from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRow, ProjectedRows, Projection

ERASURE_STEPS = (
    erasure_events.ErasureOrdered,
    erasure_events.ErasureOrderWithdrawn,
    erasure_events.RecordKeyDestroyed,
)
NO_TREATMENT_DAYS = (
    billing_events.AuthorizationRecorded,
    billing_events.AuthorizationAmended,
    billing_events.AuthorizationEnded,
    billing_events.AuthorizationReopened,
    billing_events.AuthorizationVoided,
    billing_events.VisitOverridden,
    billing_events.VisitGivenBack,
    billing_events.VisitCoveredLater,
)
"""What changes no treatment day by itself: where it does, ``VisitCalculated`` comes with it."""
PROGRESS_NOTE_ROWS = Projection(
    "billing.ProgressNote", watches=(events, erasure_events), ignores=ERASURE_STEPS
)
TREATMENT_PERIOD_ROWS = Projection(
    "billing.TreatmentPeriod",
    watches=(events, billing_events),
    ignores=NO_TREATMENT_DAYS,
)


def period_id(client_id: UUID, discipline: Discipline) -> UUID:
    """The id of a client's periods in one discipline."""
    return uuid5(client_id, f"treatment period:{discipline}")


@PROGRESS_NOTE_ROWS.on(events.ProgressNoteRecorded)
def recorded(rows: ProjectedRows, event: events.ProgressNoteRecorded, meta: RecordedEvent) -> None:
    row = {
        "discipline": event.discipline.value,
        "written_on": event.written_on,
        "covers_until": event.covers_until,
        "author_id": event.author_id,
        "credential": event.credential.value,
        "kept_as": event.kept_as.value,
        "kept_where": event.kept_where,
        "in_error": "",
        "recorded_at": meta.recorded_at,
    }
    rows.put(event.progress_note_id, row)


@PROGRESS_NOTE_ROWS.on(events.ProgressNoteEnteredInError)
def entered_in_error(
    rows: ProjectedRows, event: events.ProgressNoteEnteredInError, meta: RecordedEvent
) -> None:
    rows.change(event.progress_note_id, in_error=event.reason)


@PROGRESS_NOTE_ROWS.on(erasure_events.RecordClosed)
def notes_retained(
    rows: ProjectedRows, event: erasure_events.RecordClosed, meta: RecordedEvent
) -> None:
    for kept in retained_progress_notes(event):
        row = {
            "discipline": kept.discipline.value,
            "written_on": kept.written_on,
            "covers_until": kept.covers_until,
            "author_id": kept.author_id,
            "credential": kept.credential.value,
        }
        rows.put(kept.id, row)


@TREATMENT_PERIOD_ROWS.on(VisitCalculated)
def day_calculated(rows: ProjectedRows, event: VisitCalculated, meta: RecordedEvent) -> None:
    key = period_id(meta.stream, event.discipline)
    row = rows.get(key)
    known = set(row["days"]) if row else set()
    day = event.local_date.isoformat()
    days = known | {day} if is_treatment_day(event) else known - {day}
    if days != known:
        rows.put(key, _with_period(event.discipline, sorted(days), row["covered"] if row else {}))


@TREATMENT_PERIOD_ROWS.on(events.ProgressNoteRecorded)
def days_covered(
    rows: ProjectedRows, event: events.ProgressNoteRecorded, meta: RecordedEvent
) -> None:
    key = period_id(meta.stream, event.discipline)
    row = rows.get(key)
    covered = {
        **(row["covered"] if row else {}),
        str(event.progress_note_id): event.covers_until.isoformat(),
    }
    rows.put(key, _with_period(event.discipline, row["days"] if row else [], covered))


@TREATMENT_PERIOD_ROWS.on(events.ProgressNoteEnteredInError)
def days_not_covered(
    rows: ProjectedRows, event: events.ProgressNoteEnteredInError, meta: RecordedEvent
) -> None:
    key = period_id(meta.stream, event.discipline)
    row = rows.get(key)
    if row is not None:
        taken_back = str(event.progress_note_id)
        left = {note: day for note, day in row["covered"].items() if note != taken_back}
        rows.put(key, _with_period(event.discipline, row["days"], left))


def notes_of_row(days: list[str], covered: dict[str, str]) -> DisciplineNotes:
    """What a row has of days and of what is covered, as it is counted."""
    return DisciplineNotes(
        frozenset(date.fromisoformat(one) for one in days),
        frozenset(date.fromisoformat(one) for one in covered.values()),
    )


def _with_period(discipline: Discipline, days: list[str], covered: dict[str, str]) -> ProjectedRow:
    period = notes_of_row(days, covered).running_period()
    row: dict[str, Any] = {"discipline": discipline.value, "days": days, "covered": covered}
    ends = {"begins_on": period[0], "last_day": period[-1]} if period else {}
    return {**row, "begins_on": None, "last_day": None, **ends, "day_count": len(period)}
