"""Re-checks as due work: planned with the discharge, withdrawn when they fall away. Pure."""

from __future__ import annotations

from uuid import UUID

from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent
from sessions.stretches.domain import events

RECHECK_JOB = "recheck"
RECHECK_MAIL_JOB = "recheck_mail"


def recheck_job_key(recheck_id: UUID, occasion: str = "call") -> str:
    """The key that makes an occasion single."""
    return f"{RECHECK_JOB}:{recheck_id}:{occasion}"


def recheck_id_of_key(key: str) -> UUID:
    """The re-check that a key speaks of."""
    return UUID(key.split(":")[1])


def _planned(stream: UUID, planned: events.PlannedRecheck | None) -> list[Job]:
    if planned is None:
        return []
    return [Job(RECHECK_JOB, recheck_job_key(planned.recheck_id), stream, at=planned.call_at)]


def _withdrawn(stream: UUID, recheck_id: UUID) -> Job:
    return Job(RECHECK_JOB, recheck_job_key(recheck_id), stream, cancels=True)


RECHECK_JOBS = JobPlan(
    "rechecks",
    watches=(events,),
    ignores=(
        events.StretchPrescribed,
        events.StretchStarted,
        events.HomeExerciseAssigned,
        events.HomeExerciseDiscontinued,
    ),
)


@RECHECK_JOBS.on(events.StretchDischarged)
def discharged(event: events.StretchDischarged, meta: RecordedEvent) -> list[Job]:
    return [due for one in event.planned for due in _planned(meta.stream, one)]


@RECHECK_JOBS.on(events.RecheckPutOnCallList)
def put_on_call_list(event: events.RecheckPutOnCallList, meta: RecordedEvent) -> list[Job]:
    if event.channel is not events.ReminderChannel.MAIL:
        return []
    # At once: the call itself came within the hours in which clients may be written to.
    key = f"{RECHECK_MAIL_JOB}:{event.recheck_id}"
    return [Job(RECHECK_MAIL_JOB, key, meta.stream, at=meta.recorded_at)]


@RECHECK_JOBS.on(events.RecheckCoveredBySession)
def covered_by_session(event: events.RecheckCoveredBySession, meta: RecordedEvent) -> list[Job]:
    occasion = f"after:{event.session_id}:{int(event.next_review_at.timestamp())}"
    key = recheck_job_key(event.recheck_id, occasion)
    return [Job(RECHECK_JOB, key, meta.stream, at=event.next_review_at)]


@RECHECK_JOBS.on(events.RecheckMaintained, events.RecheckSkipped)
def answered_for_now(
    event: events.RecheckMaintained | events.RecheckSkipped, meta: RecordedEvent
) -> list[Job]:
    return [
        _withdrawn(meta.stream, event.recheck_id),
        *_planned(meta.stream, event.planned_next),
    ]


@RECHECK_JOBS.on(events.RecheckRegressed)
def regressed(event: events.RecheckRegressed, meta: RecordedEvent) -> list[Job]:
    return [_withdrawn(meta.stream, event.recheck_id)]


@RECHECK_JOBS.on(events.StretchResumed, events.StretchEnded)
def rechecks_cancelled(
    event: events.StretchResumed | events.StretchEnded, meta: RecordedEvent
) -> list[Job]:
    return [_withdrawn(meta.stream, one) for one in event.cancelled]
