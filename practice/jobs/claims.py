"""Rows claimed for a while by one worker: leases, finishing by compare-and-set, giving back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any, TypeVar
from uuid import UUID, uuid4

from django.db import connection, transaction
from django.db.models import DateTimeField, Model, QuerySet, Value
from django.db.models.expressions import RawSQL

from practice.clock import clock
from practice.core.jobs import JobOrder
from practice.jobs.models import ScheduledJob
from practice.work.clock_check import database_now
from practice.work.kept_queries import KeptQuery
from practice.work.request_cache import STAMP, go_by

LEASE = timedelta(minutes=4)
"""Longer than a task may run (``CELERY_TASK_TIME_LIMIT``) and than one mail can take with every
step at its time-out, an eighth of it gone: whoever holds a lease that ran out is dead."""
BATCH = 50
M = TypeVar("M", bound=Model)
DATABASE_NOW = RawSQL("clock_timestamp()", (), output_field=DateTimeField())
"""The lease clock as a column of another statement, on PostgreSQL."""


class LeaseLost(Exception):
    """The lease ran out and another worker has the row: nothing of this try counts."""


def claim_jobs(now: datetime, *, limit: int = BATCH) -> list[ScheduledJob]:
    """Claim rows that are due, reminders first and sweeps last, oldest first, in one short
    transaction.

    Two workers never get the same row: PostgreSQL skips locked rows, SQLite lets one
    writer in at a time (it ignores SKIP LOCKED silently).
    """
    at = lease_clock()
    token, until = uuid4(), at + LEASE
    items: list[ScheduledJob] = []
    with transaction.atomic(durable=True):
        for order in sorted(JobOrder):
            items += _due(order, now, at)[: limit - len(items)]
        if items:
            ids = [item.pk for item in items]
            ScheduledJob.objects.filter(pk__in=ids).update(claim=token, lease_until=until)
    for item in items:
        item.claim, item.lease_until = token, until
    return items


def lease_clock() -> datetime:
    """By which all leases are judged: the database's clock, which the workers share. By their
    own, one that is wrong takes what another has in hand."""
    if clock.held:
        return clock.now()
    return database_now() or clock.now()


def _due(order: JobOrder, now: datetime, at: datetime) -> QuerySet[ScheduledJob]:
    """What is due of one order, nobody's by the lease clock: a stretch of the index that ends
    where the rows to come begin, however many there are. Over all orders it would go on through
    those."""
    found = ScheduledJob.objects.filter(
        status=ScheduledJob.Status.WAITING, order=order, due_at__lte=now
    ).exclude(lease_until__gt=at)
    if connection.vendor == "postgresql":
        found = found.select_for_update(skip_locked=True)
    return found.order_by("due_at", "id")


def ours_of(item: ScheduledJob) -> QuerySet[ScheduledJob]:
    """The row, as long as our claim on it stands."""
    return _claimed(item.pk, item.claim)


def _claimed(pk: int, claim: UUID | None) -> QuerySet[ScheduledJob]:
    return ScheduledJob.objects.filter(pk=pk, claim=claim, status=ScheduledJob.Status.WAITING)


def _with_clock(rows: QuerySet[ScheduledJob]) -> QuerySet[Any, Any]:
    at = DATABASE_NOW if connection.vendor == "postgresql" else Value(None, DateTimeField())
    return rows.values_list(STAMP, at, "lease_until")


_HELD = KeptQuery(lambda pk, claim: _with_clock(_claimed(pk, claim)))


def renew_lease(item: ScheduledJob) -> None:
    """See that a row is still ours, and for most of a lease from now. Raises LeaseLost.

    The rows of a batch are claimed together, and the last of them may come minutes later. With
    the look at the row come the lease clock and the stamp of the practice's rows: what follows
    goes by that.
    """
    _renew([item], _HELD.rows(pk=item.pk, claim=item.claim))


def renew_leases(items: Sequence[ScheduledJob]) -> None:
    """The same for rows of one claim. Raises LeaseLost where one of them is lost."""
    if len(items) == 1:
        renew_lease(items[0])
    else:
        _renew(items, list(_with_clock(of_claim(items))))


def _renew(items: Sequence[ScheduledJob], rows: Sequence[Any]) -> None:
    if len(rows) < len(items):
        raise LeaseLost(items[0].key)  # Somebody else has what is missing.
    stamp, at, _ = rows[0]
    go_by(stamp)
    now = clock.now() if clock.held or at is None else at
    if min(until for _, _, until in rows) - now < LEASE * 7 / 8:
        ours = of_claim(items).filter(lease_until__gt=now)
        if ours.update(lease_until=now + LEASE) < len(items):
            raise LeaseLost(items[0].key)
        for item in items:
            item.lease_until = now + LEASE


def finish(item: ScheduledJob) -> None:
    """Mark a claimed row done by compare-and-set. Raises LeaseLost when it is no longer ours."""
    if not mark_done(ours_of(item)):
        raise LeaseLost(item.key)


def finish_all(items: Sequence[ScheduledJob]) -> None:
    """Mark the rows of one claim done, at the end of the transaction that did them. Raises
    LeaseLost when one is no longer ours, or somebody is changing it: two that wait for each
    other's rows would wait for ever."""
    if mark_done(unlocked(of_claim(items))) < len(items):
        raise LeaseLost(items[0].key)


def unlocked(rows: QuerySet[M]) -> QuerySet[M]:
    """Those of some rows that nobody is changing: an update of them waits for no lock. Within a
    transaction."""
    if connection.vendor != "postgresql":
        return rows
    locked = rows.select_for_update(skip_locked=True).values("pk")
    return rows.model._base_manager.filter(pk__in=locked)


def of_claim(items: Sequence[ScheduledJob]) -> QuerySet[ScheduledJob]:
    """Rows of one claim, as long as it stands."""
    return ScheduledJob.objects.filter(
        pk__in=[item.pk for item in items],
        claim=items[0].claim,
        status=ScheduledJob.Status.WAITING,
    )


def mark_done(rows: QuerySet[ScheduledJob]) -> int:
    """How many of claimed rows are marked done: those that are still as the query says."""
    return rows.update(
        status=ScheduledJob.Status.DONE, done_at=clock.now(), claim=None, lease_until=None
    )


def mark_not_wanted(rows: QuerySet[ScheduledJob]) -> int:
    """The same for what is to happen no more."""
    return rows.update(status=ScheduledJob.Status.NOT_WANTED, claim=None, lease_until=None)


def release(items: Sequence[ScheduledJob]) -> None:
    """Give back rows of one claim that were not begun: they are due as they were."""
    if items:
        of_claim(items).update(claim=None, lease_until=None)
