"""The comparison of a large log: asked for, done by a job batch by batch, its progress shown."""

from __future__ import annotations

import time
from typing import Any, Final
from uuid import UUID

from practice.audit import rebuild
from practice.clock import clock
from practice.core.decisions import Job
from practice.core.reasons import Rejected, existing
from practice.eventstore.models import StreamHead
from practice.jobs.handlers import JobPostponed
from practice.jobs.models import LongTask, ScheduledJob
from practice.jobs.planning import write_jobs
from practice.jobs.retrying import job_settings
from practice.keys.keystore import PRACTICE_SUBJECT
from practice.work.unit_of_work import UnitOfWork

LOG_COMPARISON_JOB: Final = "compare_log"
SLICE_SECONDS: Final = 20.0
"""A job of many batches lets others go first after so long."""
MOST_SHOWN: Final = 1_000
"""So many differences are kept as sentences; all are counted."""


def compare_directly() -> rebuild.RebuildResult:
    """The comparison of a log that is small. Raises Rejected 409 for a large one."""
    clients, most = count_streams(), job_settings().direct_check_clients
    if clients > most:
        raise Rejected(
            "too_large_to_wait",
            f"There are {clients} clients, and the answer is waited for up to {most}. Start it by"
            " POST /log/comparisons, which shows its progress.",
        )
    return rebuild.compare()


def count_streams() -> int:
    """How many streams have events."""
    return StreamHead.objects.filter(version__gt=0).count()


def comparison_start(uow: UnitOfWork) -> LongTask:
    """Start a comparison; one that is not finished yet is the answer to whoever asks again."""
    open_ = LongTask.objects.filter(kind=LOG_COMPARISON_JOB, finished_at=None)
    if (found := open_.order_by("requested_at").first()) is not None:
        return found
    task = LongTask.objects.create(
        kind=LOG_COMPARISON_JOB,
        requested_by=uow.actor.id,
        requested_at=clock.now(),
        total=count_streams(),
        result={"events": 0, "rows": 0, "fault_count": 0, "faults": []},
    )
    write_jobs([Job(LOG_COMPARISON_JOB, PRACTICE_SUBJECT, task.pk)])
    return task


def comparison_get(comparison_id: UUID) -> LongTask:
    """A comparison that was started. Raises Rejected 404."""
    tasks = LongTask.objects.filter(kind=LOG_COMPARISON_JOB)
    return existing(tasks.filter(pk=comparison_id).first(), "comparison")


def run_comparison(job: ScheduledJob) -> None:
    """Go on with a comparison where it stands. Raises JobPostponed when others are to go first.

    What was compared is kept after each batch: a worker that is killed costs one batch.
    """
    task = LongTask.objects.get(pk=job.about)
    ends = time.monotonic() + SLICE_SECONDS
    while task.finished_at is None:
        part, task.reached = rebuild.compare_batch(task.reached)
        if task.reached is None:
            part.differences += rebuild.strangers()
            task.finished_at = clock.now()
        task.done += part.streams
        task.result = _added(task.result, part)
        task.save()
        if task.finished_at is None and time.monotonic() >= ends:
            raise JobPostponed(clock.now())


def _added(result: dict[str, Any], part: rebuild.RebuildResult) -> dict[str, Any]:
    return {
        "events": result["events"] + part.events,
        "rows": result["rows"] + part.rows,
        "fault_count": result["fault_count"] + len(part.differences),
        "faults": [*result["faults"], *part.differences][:MOST_SHOWN],
    }
