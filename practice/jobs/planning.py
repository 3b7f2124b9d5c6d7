"""Writes due rows in the transaction of the events that cause them.

The unit of work knows no jobs: the app's spec names planning as a step after the append,
and what waits for a client as something to be cleared when the record is erased.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from uuid import UUID

from django.db import transaction

from practice.clock import clock
from practice.core.appspec import installed
from practice.core.decisions import Job
from practice.core.events import RecordedEvent
from practice.jobs.handlers import delivery_of, handler_of
from practice.jobs.models import ScheduledJob
from practice.jobs.wake import wake_workers


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

    A row that was done is never planned again; one still waiting moves to the new time.
    Raises LookupError for a kind that no installed app does: the events are not written either.
    """
    soon = False
    for due in wanted:
        if handler_of(due.kind) is None and delivery_of(due.kind) is None:
            raise LookupError(f"nobody handles or delivers jobs of kind {due.kind!r}")
        if due.cancels:
            ScheduledJob.objects.filter(key=due.key, status=ScheduledJob.Status.WAITING).update(
                status=ScheduledJob.Status.WITHDRAWN, claim=None
            )
            continue
        at = due.due_at or clock.now()
        made, created = ScheduledJob.objects.get_or_create(
            key=due.key,
            defaults={
                "kind": due.kind,
                "subject": due.subject,
                "about": due.about or due.subject,
                "occasion": due.occasion,
                "due_at": at,
            },
        )
        waits = made.status in (ScheduledJob.Status.WAITING, ScheduledJob.Status.WITHDRAWN)
        if not created and waits:
            ScheduledJob.objects.filter(pk=made.pk).update(
                due_at=at, status=ScheduledJob.Status.WAITING, claim=None
            )
        soon = soon or (waits and at <= clock.now())
    if soon:
        transaction.on_commit(wake_workers)


def withdraw_due(client_id: UUID) -> None:
    """Withdraw everything that waits for a client."""
    ScheduledJob.objects.filter(subject=client_id, status=ScheduledJob.Status.WAITING).update(
        status=ScheduledJob.Status.WITHDRAWN
    )
