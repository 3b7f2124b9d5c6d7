"""Due work of visits: another client's visit is told of time that it shares. Pure."""

from __future__ import annotations

from billing.authorizations.domain.events import VisitCalculated
from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent

SHARED_TIME_JOB = "shared_time"


def plan_shared_time(recorded: RecordedEvent) -> list[Job]:
    """Once for each pair of sessions of two clients: a signature writes on the stream of its
    own client only."""
    if not isinstance(recorded.data, VisitCalculated):
        return []
    return [
        Job(
            SHARED_TIME_JOB,
            f"{SHARED_TIME_JOB}:{one.session_id}:{session.session_id}",
            one.session_id,
        )
        for session in recorded.data.sessions
        for one in session.shared
        if not one.same_client
    ]


SHARED_TIME_JOBS = JobPlan(name=SHARED_TIME_JOB, on=(VisitCalculated,), plan=plan_shared_time)
