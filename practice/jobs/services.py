"""The tick: claim what is due, decide again, act, finish by compare-and-set.

It ends by time. What it claimed and did not begin goes back at once.
"""

from __future__ import annotations

import logging
import time
from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum
from uuid import UUID, uuid4

from celery.exceptions import SoftTimeLimitExceeded
from django.db import Error, connection, transaction
from django.db.models import QuerySet

from practice.clock import clock
from practice.core.decisions import Actor
from practice.core.terms import Role
from practice.jobs.handlers import (
    Delivery,
    JobNotWanted,
    JobPostponed,
    delivery_of,
    handler_of,
    kind_of,
)
from practice.jobs.models import ScheduledJob, TickMark
from practice.jobs.retrying import is_given_up, job_settings, pause_after
from practice.work.commands import run_command
from practice.work.unit_of_work import UnitOfWork

log = logging.getLogger(__name__)

PRACTICE_ITSELF = UUID(int=1)
LEASE = timedelta(minutes=4)
"""Longer than a task may run (``CELERY_TASK_TIME_LIMIT``) and than one mail can take with every
step at its time-out: whoever holds a lease that ran out is dead."""
BATCH = 50
TICK_BUDGET_SECONDS = 60.0
"""After so long no further row is begun; the next tick goes on."""
FINISH_PAUSES = (0.2, 1.0, 3.0)
"""Seconds between the tries to mark a row done that the world outside has taken."""
MOST_ATTEMPTS = 30_000


class LeaseLost(Exception):
    """The lease ran out and another worker has the row: nothing of this try counts."""


class _Outcome(Enum):
    """What became of one claimed row."""

    DONE = "done"
    FAILED = "failed"
    LOST = "lost"
    POSTPONED = "postponed"
    NOT_WANTED = "not_wanted"


@dataclass(frozen=True)
class TickResult:
    """What one tick did."""

    done: int = 0
    failed: int = 0
    lost: int = 0


def claim_jobs(now: datetime, *, limit: int = BATCH) -> list[ScheduledJob]:
    """Claim rows that are due, reminders first and sweeps last, oldest first, in one short
    transaction.

    Two workers never get the same row: PostgreSQL skips locked rows, SQLite lets one
    writer in at a time (it ignores SKIP LOCKED silently).
    """
    token = uuid4()
    turn = ("order", "due_at", "id")
    with transaction.atomic(durable=True):
        found = ScheduledJob.objects.filter(
            status=ScheduledJob.Status.WAITING, due_at__lte=now
        ).exclude(lease_until__gt=now)
        if connection.vendor == "postgresql":
            found = found.select_for_update(skip_locked=True)
        ids = list(found.order_by(*turn).values_list("id", flat=True)[:limit])
        ScheduledJob.objects.filter(id__in=ids).update(claim=token, lease_until=now + LEASE)
    return list(ScheduledJob.objects.filter(id__in=ids, claim=token).order_by(*turn))


def handle_one(item: ScheduledJob) -> None:
    """Do one claimed row and mark it done, a handler's in the same transaction.

    Raises LeaseLost, rolling everything back, when the row is no longer ours.
    """
    deliver = delivery_of(item.kind)
    if deliver is not None:
        _deliver(item, deliver)
        return
    actor = Actor(id=PRACTICE_ITSELF, role=Role.OWNER)
    handle = handler_of(item.kind)
    if handle is None:
        raise LookupError(f"nobody handles a job of kind {item.kind!r}")

    def execute(uow: UnitOfWork) -> None:
        handle(uow, item)
        finish(item)

    run_command(actor, f"due-{item.id}", None, execute)


def _deliver(item: ScheduledJob, deliver: Delivery) -> None:
    """Hand something to the world outside under a fresh lease, then mark it done."""
    renew_lease(item)
    deliver(item)
    _finish_accepted(item)


def _finish_accepted(item: ScheduledJob) -> None:
    """Mark done what the world outside has taken; what interrupts meanwhile comes after that.

    Else a time limit or a lock in just this moment would hand it over again.
    """
    interrupted: SoftTimeLimitExceeded | None = None
    for pause in (*FINISH_PAUSES, None):
        try:
            with transaction.atomic(durable=True):
                finish(item)
            break
        except SoftTimeLimitExceeded as limit:
            interrupted = limit
        except Error:
            if pause is None:
                raise
            time.sleep(pause)
    if interrupted is not None:
        raise interrupted


def ours_of(item: ScheduledJob) -> QuerySet[ScheduledJob]:
    """The row, as long as our claim on it stands."""
    return ScheduledJob.objects.filter(
        pk=item.pk, claim=item.claim, status=ScheduledJob.Status.WAITING
    )


def renew_lease(item: ScheduledJob) -> None:
    """Hold a row for a whole lease from now. Raises LeaseLost when it is no longer ours.

    The rows of a batch are claimed together, and the last of them comes minutes later.
    """
    now = clock.now()
    if not ours_of(item).filter(lease_until__gt=now).update(lease_until=now + LEASE):
        raise LeaseLost(item.key)


def finish(item: ScheduledJob) -> None:
    """Mark a claimed row done by compare-and-set. Raises LeaseLost when it is no longer ours."""
    if not ours_of(item).update(
        status=ScheduledJob.Status.DONE, done_at=clock.now(), claim=None, lease_until=None
    ):
        raise LeaseLost(item.key)


def put_back(item: ScheduledJob, error: Exception, now: datetime) -> None:
    """Leave a failed row for later, further apart each time; what need not happen is given up
    after the days of the setting."""
    attempts = min(item.attempts + 1, MOST_ATTEMPTS)
    since = item.first_failed_at or now
    settings = job_settings()
    given_up = is_given_up(kind_of(item.kind), since, now, settings)
    ours_of(item).update(
        attempts=attempts,
        first_failed_at=since,
        claim=None,
        lease_until=None,
        last_error=type(error).__name__,
        status=ScheduledJob.Status.GIVEN_UP if given_up else ScheduledJob.Status.WAITING,
        due_at=item.due_at if given_up else now + pause_after(attempts, settings),
    )


def release(items: list[ScheduledJob]) -> None:
    """Give back rows of one claim that were not begun: they are due as they were."""
    if items:
        ScheduledJob.objects.filter(
            pk__in=[item.pk for item in items],
            claim=items[0].claim,
            status=ScheduledJob.Status.WAITING,
        ).update(claim=None, lease_until=None)


def _run_one(item: ScheduledJob) -> _Outcome:
    """One claimed row to its end, whatever that is. Raises SoftTimeLimitExceeded: the time of
    the whole tick is over, which is nothing that this row did."""
    try:
        handle_one(item)
    except SoftTimeLimitExceeded:
        wait = pause_after(1, job_settings())
        ours_of(item).update(claim=None, lease_until=None, due_at=clock.now() + wait)
        raise
    except LeaseLost:
        return _Outcome.LOST
    except JobPostponed as wait:
        ours_of(item).update(claim=None, lease_until=None, due_at=wait.until)
        return _Outcome.POSTPONED
    except JobNotWanted:
        ours_of(item).update(status=ScheduledJob.Status.NOT_WANTED, claim=None, lease_until=None)
        return _Outcome.NOT_WANTED
    except Exception as error:
        # The row is the work: whatever failed, it is tried again, and shown when given up.
        log.exception("job %s failed", item.id)
        put_back(item, error, clock.now())
        return _Outcome.FAILED
    return _Outcome.DONE


def mark_tick() -> None:
    """Write down that somebody looked for what is due: the health check asks."""
    TickMark.objects.update_or_create(pk=1, defaults={"at": clock.now()})


def run_due_jobs(*, limit: int = BATCH, seconds: float = TICK_BUDGET_SECONDS) -> TickResult:
    """One tick: claim and do what is due, batch after batch, until nothing is left or the time
    is over. Raises SoftTimeLimitExceeded where the worker ends it."""
    ends = time.monotonic() + seconds
    tally: Counter[_Outcome] = Counter()
    while time.monotonic() < ends and (items := claim_jobs(clock.now(), limit=limit)):
        while items and time.monotonic() < ends:
            try:
                tally[_run_one(items.pop(0))] += 1
            except SoftTimeLimitExceeded:
                release(items)
                raise
        release(items)
    return TickResult(tally[_Outcome.DONE], tally[_Outcome.FAILED], tally[_Outcome.LOST])
