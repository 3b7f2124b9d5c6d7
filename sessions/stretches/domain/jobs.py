"""Re-checks as a job: planned with the discharge, withdrawn when they fall away. Pure."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from uuid import UUID

from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent
from sessions.stretches.domain import events

RECHECK_JOB = "recheck"
REMINDER_JOB = "remind_recheck_due"


CALL = "call"
MOST_REPEATS = 6
"""The greatest number of weekly repeats that the setting takes."""


def _planned(stream: UUID, planned: events.PlannedRecheck | None) -> list[Job]:
    if planned is None:
        return []
    return [Job(RECHECK_JOB, stream, planned.recheck_id, CALL, due_at=planned.call_at)]


def _withdrawn(stream: UUID, recheck_id: UUID) -> Job:
    return Job(RECHECK_JOB, stream, recheck_id, CALL, cancels=True)


RECHECK_JOBS = JobPlan(
    "rechecks",
    watches=(events,),
    ignores=(
        events.StretchPrescribed,
        events.StretchStarted,
        events.StretchStartEnteredInError,
    ),
)


@RECHECK_JOBS.on(events.StretchDischarged)
def discharged(event: events.StretchDischarged, meta: RecordedEvent) -> list[Job]:
    return [due for one in event.planned for due in _planned(meta.stream, one)]


@RECHECK_JOBS.on(events.RecheckPutOnCallList)
def put_on_call_list(event: events.RecheckPutOnCallList, meta: RecordedEvent) -> list[Job]:
    """Every reminder that the practice may want of it; each is decided on at its time."""
    day = datetime.combine(event.due_on, time(0), UTC) - timedelta(days=1)
    weeks = (day + timedelta(weeks=number) for number in range(MOST_REPEATS + 1))
    return [
        _reminder(meta, event.recheck_id, "ahead", meta.recorded_at),
        *(_reminder(meta, event.recheck_id, f"{n}", at) for n, at in enumerate(weeks)),
    ]


def _reminder(meta: RecordedEvent, recheck_id: UUID, step: str, at: datetime) -> Job:
    return Job(REMINDER_JOB, meta.stream, recheck_id, f"{step} v{meta.version}", due_at=at)


def step_of(occasion: str) -> int | None:
    """Which reminder a job is of: None ahead of the day, 0 at the day, n after n weeks."""
    step = occasion.partition(" ")[0]
    return None if step == "ahead" else int(step)


@RECHECK_JOBS.on(events.RecheckCoveredBySession)
def covered_by_session(event: events.RecheckCoveredBySession, meta: RecordedEvent) -> list[Job]:
    occasion = f"after:{event.session_id}:{int(event.next_review_at.timestamp())}"
    return [Job(RECHECK_JOB, meta.stream, event.recheck_id, occasion, due_at=event.next_review_at)]


@RECHECK_JOBS.on(events.RecheckMaintained, events.RecheckSkipped)
def answered_for_now(
    event: events.RecheckMaintained | events.RecheckSkipped, meta: RecordedEvent
) -> list[Job]:
    return [
        _withdrawn(meta.stream, event.recheck_id),
        *_planned(meta.stream, event.planned_next),
    ]


@RECHECK_JOBS.on(events.RecheckReopened)
def reopened(event: events.RecheckReopened, meta: RecordedEvent) -> list[Job]:
    # An occasion of its own: the call of the first time may have been done already.
    occasion = f"reopened:{event.measurement_id}"
    again = [
        Job(RECHECK_JOB, meta.stream, one.recheck_id, occasion, due_at=one.call_at)
        for one in event.reopened
    ]
    return [*again, *(_withdrawn(meta.stream, one) for one in event.withdrawn)]


@RECHECK_JOBS.on(events.RecheckRegressed)
def regressed(event: events.RecheckRegressed, meta: RecordedEvent) -> list[Job]:
    return [_withdrawn(meta.stream, event.recheck_id)]


@RECHECK_JOBS.on(events.StretchResumed, events.StretchEnded)
def rechecks_cancelled(
    event: events.StretchResumed | events.StretchEnded, meta: RecordedEvent
) -> list[Job]:
    return [_withdrawn(meta.stream, one) for one in event.cancelled]
