"""Due work of visits: another client's visit is told of time that it shares. Pure."""

from __future__ import annotations

from billing.authorizations.domain.events import VisitCalculated
from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent

SHARED_TIME_JOB = "shared_time"

SHARED_TIME_JOBS = JobPlan(SHARED_TIME_JOB)


@SHARED_TIME_JOBS.on(VisitCalculated)
def visit_calculated(event: VisitCalculated, meta: RecordedEvent) -> list[Job]:
    """Once for each pair of sessions of two clients: a signature writes on the stream of its
    own client only."""
    return [
        Job(
            SHARED_TIME_JOB,
            f"{SHARED_TIME_JOB}:{one.session_id}:{session.session_id}",
            one.session_id,
        )
        for session in event.sessions
        for one in session.shared
        if not one.same_client
    ]
