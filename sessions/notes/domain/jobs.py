"""A look at the note is planned with the arrival. Pure."""

from __future__ import annotations

from datetime import timedelta
from typing import Final
from uuid import UUID

from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent
from sessions.calendar.domain import events

NOTE_REMINDER = "remind_note_unsigned"
LOOKED_AT: Final = timedelta(hours=12)
"""After the arrival: the session is over, so that its end is known."""

NOTE_REMINDERS = JobPlan(
    "reminders of notes",
    watches=(events,),
    ignores=(
        events.SessionBooked,
        events.SessionMoved,
        events.SessionCancelled,
        events.SessionConfirmed,
        events.SessionConfirmationTakenBack,
        events.SessionMarkedNoShow,
        events.RedFlagCleared,
        events.ArrivalWordsReviewed,
        events.SessionOpened,
        events.SessionFlagged,
        events.SessionDayFlagEnded,
        events.SessionFlagEnded,
        events.SessionStopped,
        events.SessionCompleted,
        events.SessionEnteredInError,
    ),
)


@NOTE_REMINDERS.on(
    events.SessionArrived, events.SessionStatusCorrected, events.SessionCompletionTakenBack
)
def came(
    event: events.SessionArrived
    | events.SessionStatusCorrected
    | events.SessionCompletionTakenBack,
    meta: RecordedEvent,
) -> list[Job]:
    return [_planned(meta, event.session_id)]


def _planned(meta: RecordedEvent, session_id: UUID) -> Job:
    due_at = meta.recorded_at + LOOKED_AT
    return Job(NOTE_REMINDER, meta.stream, session_id, f"v{meta.version}", due_at=due_at)
