"""Reminders of progress notes are planned with each treatment day. Pure."""

from __future__ import annotations

from billing.authorizations.domain import events as billing_events
from billing.authorizations.domain.events import VisitCalculated
from billing.progress_notes.domain import events
from billing.progress_notes.domain.projections import NO_TREATMENT_DAYS, period_id
from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent

DUE_REMINDER = "remind_progress_note_due"
OVERDUE_REMINDER = "remind_progress_note_overdue"

PROGRESS_NOTE_REMINDERS = JobPlan(
    "reminders of progress notes",
    watches=(events, billing_events),
    ignores=NO_TREATMENT_DAYS,
)


@PROGRESS_NOTE_REMINDERS.on(
    VisitCalculated, events.ProgressNoteRecorded, events.ProgressNoteEnteredInError
)
def days_changed(
    event: VisitCalculated | events.ProgressNoteRecorded | events.ProgressNoteEnteredInError,
    meta: RecordedEvent,
) -> list[Job]:
    """What is due is decided when the job comes up: by the days and the payers' rules then."""
    about = period_id(meta.stream, event.discipline)
    return [
        Job(kind, meta.stream, about, f"v{meta.version}", due_at=meta.recorded_at)
        for kind in (DUE_REMINDER, OVERDUE_REMINDER)
    ]
