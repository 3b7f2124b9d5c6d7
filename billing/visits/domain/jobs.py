"""Due work of visits: another client's visit is told of time that it shares. Pure."""

from __future__ import annotations

from billing.authorizations.domain import events
from billing.visits.domain.shared_time import shared_elsewhere
from practice.core.decisions import PRACTICE_ITSELF, Job, JobPlan
from practice.core.events import RecordedEvent

SHARED_TIME_JOB = "shared_time"

SHARED_TIME_JOBS = JobPlan(
    SHARED_TIME_JOB,
    watches=(events,),
    ignores=(
        events.AuthorizationRecorded,
        events.AuthorizationAmended,
        events.AuthorizationEnded,
        events.AuthorizationReopened,
        events.AuthorizationVoided,
        events.VisitOverridden,
        events.VisitGivenBack,
        events.VisitCoveredLater,
    ),
)


@SHARED_TIME_JOBS.on(events.VisitCalculated)
def visit_calculated(event: events.VisitCalculated, meta: RecordedEvent) -> list[Job]:
    """For each session of another client that shares time, or did until a correction: a
    signature or an addendum writes on the stream of its own client only. Once for each
    calculation, for times may be corrected to what they were before."""
    others = {
        *(one for session in event.sessions for one in shared_elsewhere(session)),
        *event.parted_from,
    }
    return [
        Job(
            SHARED_TIME_JOB,
            PRACTICE_ITSELF,  # An erasure of the own client's record withdraws nothing here.
            about=session_id,
            occasion=f"{event.visit_id} {meta.version}",
        )
        for session_id in sorted(others)
    ]
