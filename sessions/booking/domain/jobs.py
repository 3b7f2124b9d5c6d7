"""A reminder of a session is planned with its booking. Pure."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final
from uuid import UUID

from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent
from sessions.calendar.domain import events

SESSION_REMINDER = "remind_session_tomorrow"
LONGEST_LEAD: Final = timedelta(days=8)

SESSION_REMINDERS = JobPlan(
    "reminders of sessions",
    watches=(events,),
    ignores=(
        events.SessionCancelled,
        events.SessionConfirmed,
        events.SessionConfirmationTakenBack,
        events.SessionMarkedNoShow,
        events.SessionArrived,
        events.RedFlagCleared,
        events.ArrivalWordsReviewed,
        events.SessionOpened,
        events.SessionFlagged,
        events.SessionDayFlagEnded,
        events.SessionFlagEnded,
        events.SessionStopped,
        events.SessionCompleted,
        events.SessionCompletionTakenBack,
        events.SessionEnteredInError,
    ),
)


@SESSION_REMINDERS.on(events.SessionBooked, events.SessionMoved)
def booked(event: events.SessionBooked | events.SessionMoved, meta: RecordedEvent) -> list[Job]:
    due_at = event.starts_at - LONGEST_LEAD
    return [_planned(meta, event.session_id, due_at)]


@SESSION_REMINDERS.on(events.SessionStatusCorrected)
def corrected(event: events.SessionStatusCorrected, meta: RecordedEvent) -> list[Job]:
    """It may be booked again."""
    return [_planned(meta, event.session_id, meta.recorded_at)]


def _planned(meta: RecordedEvent, session_id: UUID, due_at: datetime) -> Job:
    """Each cause is a job of its own, so that none finds a row that was done with before; the
    reminder itself is once for its occasion."""
    return Job(SESSION_REMINDER, meta.stream, session_id, f"v{meta.version}", due_at=due_at)
