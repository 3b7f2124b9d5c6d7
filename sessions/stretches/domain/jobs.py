"""Re-checks as due work: planned with the discharge, withdrawn when they fall away. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent
from sessions.stretches.domain.events import (
    PlannedRecheck,
    RecheckCoveredBySession,
    RecheckMaintained,
    RecheckPutOnCallList,
    RecheckRegressed,
    RecheckSkipped,
    ReminderChannel,
    StretchDischarged,
    StretchEnded,
    StretchResumed,
)

RECHECK_JOB = "recheck"
RECHECK_MAIL_JOB = "recheck_mail"


CALL = "call"


def _planned(stream: UUID, planned: PlannedRecheck | None) -> list[Job]:
    if planned is None:
        return []
    return [Job(RECHECK_JOB, stream, planned.recheck_id, CALL, at=planned.call_at)]


def _withdrawn(stream: UUID, recheck_id: UUID) -> Job:
    return Job(RECHECK_JOB, stream, recheck_id, CALL, cancels=True)


def plan_recheck_jobs(rec: RecordedEvent) -> Sequence[Job]:
    """What an event plans or withdraws."""
    stream = rec.stream
    match rec.data:
        case StretchDischarged() as event:
            return [due for one in event.planned for due in _planned(stream, one)]
        case RecheckPutOnCallList(channel=ReminderChannel.MAIL) as event:
            # At once: the call itself came within the hours in which clients may be written to.
            return [Job(RECHECK_MAIL_JOB, stream, event.recheck_id, at=rec.recorded_at)]
        case RecheckCoveredBySession() as event:
            occasion = f"after:{event.session_id}:{int(event.next_review_at.timestamp())}"
            return [Job(RECHECK_JOB, stream, event.recheck_id, occasion, at=event.next_review_at)]
        case RecheckMaintained() | RecheckSkipped() as event:
            return [_withdrawn(stream, event.recheck_id), *_planned(stream, event.planned_next)]
        case RecheckRegressed() as event:
            return [_withdrawn(stream, event.recheck_id)]
        case StretchResumed() | StretchEnded() as event:
            return [_withdrawn(stream, one) for one in event.cancelled]
    return []


RECHECK_JOBS = JobPlan(
    name="rechecks",
    on=(
        StretchDischarged,
        RecheckPutOnCallList,
        RecheckCoveredBySession,
        RecheckMaintained,
        RecheckRegressed,
        RecheckSkipped,
        StretchResumed,
        StretchEnded,
    ),
    plan=plan_recheck_jobs,
)
