"""The jobs of a client against what the client's log plans: missing, changed, hidden or put in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from practice.core.appspec import installed
from practice.core.decisions import Job
from practice.core.events import RecordedEvent
from practice.jobs.models import ScheduledJob

LONGEST_PAUSE: Final = timedelta(days=14)
"""How far beyond now a row that has been due may be put off, by failures and quiet hours."""


@dataclass
class PlannedJob:
    """What the log says of one occasion: the last plan, its earliest time, whether it fell away."""

    job: Job
    earliest: datetime | None
    withdrawn: bool = False


def planned_by(events: Sequence[RecordedEvent]) -> dict[str, PlannedJob]:
    """What the job plans make of a client's events, by key."""
    found: dict[str, PlannedJob] = {}
    for recorded in events:
        for plan in installed.job_plans:
            for job in plan.answer(recorded) or ():
                before = found.get(job.key)
                if job.cancels:
                    if before is not None:
                        before.withdrawn = True
                    continue
                times = [one for one in (job.due_at, before and before.earliest) if one]
                found[job.key] = PlannedJob(job, min(times, default=None))
    return found


def job_faults(
    events: Sequence[RecordedEvent], own: Iterable[ScheduledJob], *, now: datetime
) -> Iterator[str]:
    """Every difference between a client's ``own`` rows and the plans of its log, as sentences.

    Of an erased record, whose events begin at its closing, nothing else may wait.
    """
    closed = bool(events) and events[0].version > 1
    planned = planned_by(events)
    rows = {row.key: row for row in own}
    if elsewhere := planned.keys() - rows.keys():  # Gone, or about something else now.
        rows |= {row.key: row for row in ScheduledJob.objects.filter(key__in=elsewhere)}
    for key, plan in planned.items():
        row = rows.pop(key, None)
        if row is None:
            yield f"job {key}: the log plans it and it is gone"
        else:
            yield from (f"job {key}: {text}" for text in _differences(row, plan, now))
    kinds = {plan.job.kind for plan in planned.values()}
    for key, row in rows.items():
        if row.status == ScheduledJob.Status.WAITING and (closed or row.kind in kinds):
            yield f"job {key}: it waits, and the log does not plan it"


def _differences(row: ScheduledJob, plan: PlannedJob, now: datetime) -> Iterator[str]:
    job, status = plan.job, ScheduledJob.Status
    said = (row.kind, row.subject, row.about, row.occasion)
    if said != (job.kind, job.subject, job.about or job.subject, job.occasion):
        yield "it is about something else than the log plans"
    if row.order != installed.job_kinds[job.kind].order:
        yield "it goes before or behind where its kind goes"
    if row.status == status.WAITING:
        if plan.withdrawn:
            yield "it waits, and the log has withdrawn it"
        elif job.due_at is not None and job.due_at > now:
            if row.due_at != job.due_at and not row.attempts:
                yield "it is due at another time than the log plans"
        elif row.due_at > now + LONGEST_PAUSE:
            yield "it is put off for longer than anything is"
    if row.status == status.WITHDRAWN and not plan.withdrawn:
        yield "it was withdrawn, and not by the log"
    if row.status == status.DONE and (
        row.done_at is None or (plan.earliest is not None and row.done_at < plan.earliest)
    ):
        yield "it is called done before it was due"
