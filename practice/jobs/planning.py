"""Writes due rows in the transaction of the events that cause them.

The unit of work knows no jobs: the app's spec names planning as a step after the append,
and what waits for a client as something to be cleared when the record is erased.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Max, QuerySet

from practice.clock import clock
from practice.core.appspec import installed
from practice.core.decisions import Job
from practice.core.events import RecordedEvent
from practice.jobs.handlers import kind_of
from practice.jobs.models import ScheduledJob
from practice.jobs.wake import wake_workers

CHUNK = 500
SINGLE, EACH = "after ", "each of "
"""How the occasions of single rows begin: those of others are not theirs to move."""


def plan_jobs(events: Sequence[RecordedEvent]) -> None:
    """Plan and withdraw what the registered plans make of some events."""
    wanted = [
        due
        for recorded in events
        for plan in installed.job_plans
        for due in plan.answer(recorded) or ()
    ]
    if wanted:
        write_jobs(wanted)


def write_jobs(wanted: Iterable[Job]) -> None:
    """Write planned rows and withdraw cancelled ones; the key keeps each occasion single.

    A row that was done is never planned again; one still waiting moves to the new time. However
    many are planned, it takes two statements. Raises LookupError for a kind that no installed
    app does: the events are not written either.
    """
    soon = False
    planned: dict[str, Job] = {}
    for due in wanted:
        kind_of(due.kind)
        if not due.cancels:
            planned[due.key] = due
            continue
        soon, planned = _plan(planned) or soon, {}
        ScheduledJob.objects.filter(key=due.key, status=ScheduledJob.Status.WAITING).update(
            status=ScheduledJob.Status.WITHDRAWN, claim=None
        )
    if _plan(planned) or soon:
        transaction.on_commit(wake_workers)


def _plan(planned: Mapping[str, Job]) -> bool:
    """Whether any of them is due already."""
    if not planned:
        return False
    now = clock.now()
    there = {row.key: row for row in ScheduledJob.objects.filter(key__in=planned)}
    new = [
        ScheduledJob(key=key, **_columns(one, now))
        for key, one in planned.items()
        if key not in there
    ]
    ScheduledJob.objects.bulk_create(new, ignore_conflicts=True)
    open_ = (ScheduledJob.Status.WAITING, ScheduledJob.Status.WITHDRAWN)
    again = [row for row in there.values() if row.status in open_]
    for row in again:
        row.due_at = planned[row.key].due_at or now
        ScheduledJob.objects.filter(pk=row.pk).update(
            due_at=row.due_at, status=ScheduledJob.Status.WAITING, claim=None
        )
    return any(row.due_at <= now for row in (*new, *again))


def plan_single(kind: str, subject: UUID) -> None:
    """Plan work of which one waiting row is enough, however often it is asked for.

    A worker that is at it loses its claim: it began before what is written here, so that what
    it does is rolled back and done once more.
    """
    now = clock.now()
    rows = ScheduledJob.objects.filter(kind=kind, subject=subject, occasion__startswith=SINGLE)
    while True:
        # Read first: two that find none waiting make the same key, the second waits for the
        # first, and then finds that row, which may be in work already.
        last = rows.aggregate(last=Max("id"))["last"] or 0
        if _begin_again(rows.filter(status=ScheduledJob.Status.WAITING), now):
            break
        job = Job(kind, subject, occasion=f"{SINGLE}{last}")
        if ScheduledJob.objects.get_or_create(key=job.key, defaults=_columns(job, now))[1]:
            break
    transaction.on_commit(wake_workers)


def plan_for_each(kind: str, subjects: Sequence[UUID], cause: int) -> None:
    """The same for many subjects, some statements in all: one waiting row of each.

    ``cause`` is the id of the job that plans them.
    """
    now = clock.now()
    for start in range(0, len(subjects), CHUNK):
        some = subjects[start : start + CHUNK]
        waiting = ScheduledJob.objects.filter(
            kind=kind,
            subject__in=some,
            occasion__startswith=EACH,
            status=ScheduledJob.Status.WAITING,
        )
        _begin_again(waiting, now)
        there = set(waiting.values_list("subject", flat=True))
        jobs = [Job(kind, one, occasion=f"{EACH}{cause}") for one in some if one not in there]
        rows = [ScheduledJob(key=job.key, **_columns(job, now)) for job in jobs]
        ScheduledJob.objects.bulk_create(rows, ignore_conflicts=True)
    transaction.on_commit(wake_workers)


def _begin_again(waiting: QuerySet[ScheduledJob], now: datetime) -> int:
    return waiting.update(due_at=now, claim=None, lease_until=None)


def _columns(job: Job, now: datetime) -> dict[str, Any]:
    return {
        "kind": job.kind,
        "subject": job.subject,
        "about": job.about or job.subject,
        "occasion": job.occasion,
        "order": kind_of(job.kind).order,
        "due_at": job.due_at or now,
    }


def withdraw_due(client_id: UUID) -> None:
    """Withdraw everything that waits for a client or was given up."""
    open_ = (ScheduledJob.Status.WAITING, ScheduledJob.Status.GIVEN_UP)
    ScheduledJob.objects.filter(subject=client_id, status__in=open_).update(
        status=ScheduledJob.Status.WITHDRAWN
    )


def plan_again(job: ScheduledJob, due_at: datetime) -> None:
    """Put work that came to its end back, as if it had just been planned: what stood in its way
    is gone."""
    ended = (ScheduledJob.Status.DONE, ScheduledJob.Status.NOT_WANTED)
    done = ScheduledJob.objects.filter(pk=job.pk, status__in=ended).update(
        status=ScheduledJob.Status.WAITING,
        due_at=due_at,
        attempts=0,
        first_failed_at=None,
        claim=None,
        lease_until=None,
        done_at=None,
        last_error="",
    )
    if done:
        transaction.on_commit(wake_workers)
