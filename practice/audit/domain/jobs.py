"""The destruction of a client's data key as a job, planned with the closing event. Pure."""

from __future__ import annotations

from practice.audit.domain import events
from practice.core.decisions import Job, JobPlan
from practice.core.events import RecordedEvent

KEY_DESTRUCTION_JOB = "destroy_key"

KEY_DESTRUCTION = JobPlan(
    KEY_DESTRUCTION_JOB,
    watches=(events,),
    ignores=(events.ErasureOrdered, events.ErasureOrderWithdrawn, events.RecordKeyDestroyed),
)


@KEY_DESTRUCTION.on(events.RecordClosed)
def record_closed(event: events.RecordClosed, meta: RecordedEvent) -> list[Job]:
    return [Job(KEY_DESTRUCTION_JOB, meta.stream, due_at=meta.recorded_at)]
