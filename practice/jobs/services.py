"""The tick: claim what is due, decide again, act, finish by compare-and-set."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID, uuid4

from django.db import connection, transaction
from django.db.models import QuerySet

from practice.clock import clock
from practice.core.decisions import Actor
from practice.core.terms import Role
from practice.jobs.handlers import JobPostponed, delivery_of, handler_of
from practice.jobs.models import ScheduledJob
from practice.work.commands import run_command
from practice.work.unit_of_work import UnitOfWork

log = logging.getLogger(__name__)

PRACTICE_ITSELF = UUID(int=1)
LEASE = timedelta(minutes=2)
BATCH = 50
MAX_ATTEMPTS = 8
BACK_OFF = timedelta(seconds=30)


class LeaseLost(Exception):
    """The lease ran out and another worker has the row: nothing of this try counts."""


@dataclass(frozen=True)
class TickResult:
    """What one tick did."""

    done: int = 0
    failed: int = 0
    lost: int = 0


def claim_jobs(now: datetime, *, limit: int = BATCH) -> list[ScheduledJob]:
    """Claim rows that are due, oldest first, in one short transaction.

    Two workers never get the same row: PostgreSQL skips locked rows, SQLite lets one
    writer in at a time (it ignores SKIP LOCKED silently).
    """
    token = uuid4()
    with transaction.atomic(durable=True):
        found = ScheduledJob.objects.filter(
            status=ScheduledJob.Status.WAITING, due_at__lte=now
        ).exclude(lease_until__gt=now)
        if connection.vendor == "postgresql":
            found = found.select_for_update(skip_locked=True)
        ids = list(found.order_by("due_at", "id").values_list("id", flat=True)[:limit])
        ScheduledJob.objects.filter(id__in=ids).update(claim=token, lease_until=now + LEASE)
    return list(ScheduledJob.objects.filter(id__in=ids, claim=token).order_by("due_at", "id"))


def handle_one(item: ScheduledJob) -> None:
    """Do one claimed row and mark it done in the same transaction.

    Raises LostClaim, rolling everything back, when the row is no longer ours.
    """
    deliver = delivery_of(item.kind)
    if deliver is not None:
        deliver(item)
        with transaction.atomic(durable=True):
            finish(item)
        return
    actor = Actor(id=PRACTICE_ITSELF, role=Role.OWNER)
    handle = handler_of(item.kind)
    if handle is None:
        raise LookupError(f"nobody handles a job of kind {item.kind!r}")

    def execute(uow: UnitOfWork) -> None:
        handle(uow, item)
        finish(item)

    run_command(actor, f"due-{item.id}", None, execute)


def ours_of(item: ScheduledJob) -> QuerySet[ScheduledJob]:
    """The row, as long as our claim on it stands."""
    return ScheduledJob.objects.filter(
        pk=item.pk, claim=item.claim, status=ScheduledJob.Status.WAITING
    )


def finish(item: ScheduledJob) -> None:
    """Mark a claimed row done by compare-and-set. Raises LostClaim when it is no longer ours."""
    if not ours_of(item).update(
        status=ScheduledJob.Status.DONE, done_at=clock.now(), claim=None, lease_until=None
    ):
        raise LeaseLost(item.key)


def put_back(item: ScheduledJob, error: Exception, now: datetime) -> None:
    """Leave a failed row for later, further apart each time, given up after the last try."""
    attempts = item.attempts + 1
    given_up = attempts >= MAX_ATTEMPTS
    ours_of(item).update(
        attempts=attempts,
        claim=None,
        lease_until=None,
        last_error=type(error).__name__,
        status=ScheduledJob.Status.GIVEN_UP if given_up else ScheduledJob.Status.WAITING,
        due_at=item.due_at if given_up else now + BACK_OFF * 2**attempts,
    )


def run_due_jobs(*, limit: int = BATCH) -> TickResult:
    """One tick: claim and do what is due, batch after batch, until nothing is left."""
    done = failed = lost = 0
    while items := claim_jobs(clock.now(), limit=limit):
        for item in items:
            try:
                handle_one(item)
                done += 1
            except LeaseLost:
                lost += 1
            except JobPostponed as wait:
                ours_of(item).update(claim=None, lease_until=None, due_at=wait.until)
            except Exception as error:
                # The row is the work: whatever failed, it is tried again, and shown when given up.
                log.exception("job %s failed", item.id)
                put_back(item, error, clock.now())
                failed += 1
    return TickResult(done, failed, lost)
