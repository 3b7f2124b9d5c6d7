"""The tick: claim what is due, decide again, act, finish by compare-and-set.

It ends by time. What it claimed and did not begin goes back at once.
"""

from __future__ import annotations

import logging
import time
from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from itertools import takewhile

from celery.exceptions import SoftTimeLimitExceeded
from django.db.models import QuerySet

from practice.clock import clock
from practice.core.appspec import installed
from practice.core.decisions import PRACTICE_ITSELF, Actor
from practice.core.jobs import JobHandover
from practice.core.terms import Role
from practice.jobs.accepted import keep_accepted
from practice.jobs.claims import (
    BATCH,
    LeaseLost,
    claim_jobs,
    finish,
    finish_all,
    mark_not_wanted,
    of_claim,
    ours_of,
    release,
    renew_lease,
)
from practice.jobs.handing_over import hand_over
from practice.jobs.handlers import (
    Delivery,
    Handler,
    JobNotWanted,
    JobPostponed,
    delivery_of,
    handler_of,
    handover_of,
)
from practice.jobs.mail import one_mail_connection
from practice.jobs.models import ScheduledJob, TickMark
from practice.jobs.retrying import is_given_up, job_settings, pause_after
from practice.work import request_cache as unit
from practice.work.commands import run_command
from practice.work.unit_of_work import UnitOfWork

log = logging.getLogger(__name__)

_ACTING = Actor(id=PRACTICE_ITSELF, role=Role.OWNER)
TICK_BUDGET_SECONDS = 60.0
"""After so long no further row is begun; the next tick goes on."""
MOST_ATTEMPTS = 30_000


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


def handle_one(item: ScheduledJob) -> None:
    """Do one claimed row and mark it done, a handler's in the same transaction.

    Raises LeaseLost, rolling everything back, when the row is no longer ours.
    """
    deliver = delivery_of(item.kind)
    if deliver is not None:
        _deliver(item, deliver)
        return
    handle = _handler(item.kind)

    def execute(uow: UnitOfWork) -> None:
        handle(uow, item)
        finish(item)

    run_command(_ACTING, _request_id(item), None, execute)


def handle_together(items: Sequence[ScheduledJob]) -> None:
    """Do claimed rows of one kind in one transaction and mark all done at its end.

    Raises whatever one of them raises, LeaseLost too: nothing of any of them is done then.
    """
    handle = _handler(items[0].kind)

    def execute(uow: UnitOfWork) -> None:
        uow.lock(*(item.subject for item in items))
        for item in items:
            uow.request_id = _request_id(item)
            handle(uow, item)
        finish_all(items)

    run_command(_ACTING, _request_id(items[0]), None, execute)


def _handler(kind: str) -> Handler:
    handle = handler_of(kind)
    if handle is None:
        raise LookupError(f"nobody handles a job of kind {kind!r}")
    return handle


def _request_id(item: ScheduledJob) -> str:
    return f"due-{item.id}"


def _deliver(item: ScheduledJob, deliver: Delivery) -> None:
    """Hand something to the world outside under a fresh lease, then mark it done. What of the
    practice's rows it asks for is read once, and as they stood when the lease was looked at."""
    with unit.caching():
        renew_lease(item)
        deliver(item)
    keep_accepted(lambda: finish(item))


def put_back(item: ScheduledJob, error: Exception, now: datetime) -> None:
    """Leave a failed row for later, further apart each time; what need not happen is given up
    after the days of the setting."""
    attempts = min(item.attempts + 1, MOST_ATTEMPTS)
    since = item.first_failed_at or now
    settings = job_settings()
    kind = installed.job_kinds.get(item.kind)  # None: a newer program's, which will do it.
    given_up = kind is not None and is_given_up(kind, since, now, settings)
    ours_of(item).update(
        attempts=attempts,
        first_failed_at=since,
        claim=None,
        lease_until=None,
        last_error=type(error).__name__,
        status=ScheduledJob.Status.GIVEN_UP if given_up else ScheduledJob.Status.WAITING,
        due_at=item.due_at if given_up else now + pause_after(attempts, settings),
    )


def _run_one(item: ScheduledJob) -> _Outcome:
    """One claimed row to its end, whatever that is. Raises SoftTimeLimitExceeded: the time of
    the whole tick is over, which is nothing that this row did."""
    try:
        handle_one(item)
    except SoftTimeLimitExceeded:
        _put_off(ours_of(item))
        raise
    except Exception as error:  # noqa: BLE001  the row is the work: it is tried again
        return _ended(item, error)
    return _Outcome.DONE


def _ended(item: ScheduledJob, error: Exception) -> _Outcome:
    """Leave a row that was not done as its end says; a failure is shown when it is given up."""
    if isinstance(error, LeaseLost):
        return _Outcome.LOST
    if isinstance(error, JobPostponed):
        ours_of(item).update(claim=None, lease_until=None, due_at=error.until)
        return _Outcome.POSTPONED
    if isinstance(error, JobNotWanted):
        mark_not_wanted(ours_of(item))
        return _Outcome.NOT_WANTED
    log.error("job %s failed", item.id, exc_info=error)
    put_back(item, error, clock.now())
    return _Outcome.FAILED


def _put_off(rows: QuerySet[ScheduledJob]) -> None:
    """Give back rows in whose turn the time of the tick was over, behind others."""
    wait = pause_after(1, job_settings())
    rows.update(claim=None, lease_until=None, due_at=clock.now() + wait)


def mark_tick() -> None:
    """Write down that somebody looked for what is due: the health check asks."""
    TickMark.objects.update_or_create(pk=1, defaults={"at": clock.now()})


def run_due_jobs(*, limit: int = BATCH, seconds: float = TICK_BUDGET_SECONDS) -> TickResult:
    """One tick: claim and do what is due, batch after batch, until nothing is left or the time
    is over. Raises SoftTimeLimitExceeded where the worker ends it."""
    ends = time.monotonic() + seconds
    tally: Counter[_Outcome] = Counter()
    while time.monotonic() < ends and (items := claim_jobs(clock.now(), limit=limit)):
        with one_mail_connection():
            try:
                _run_batch(items, ends, tally)
            finally:
                release(items)
    return TickResult(tally[_Outcome.DONE], tally[_Outcome.FAILED], tally[_Outcome.LOST])


def _run_batch(items: list[ScheduledJob], ends: float, tally: Counter[_Outcome]) -> None:
    """The rows of one claim in turn; those that were not begun when the time is over stay."""
    alone: set[int] = set()
    while items and time.monotonic() < ends:
        some = _joined(items, alone)
        outcomes = _run_some(some)
        if not outcomes or outcomes[-1] is _Outcome.FAILED:
            alone |= {item.pk for item in some[len(outcomes) :]}
        tally.update(outcomes)
        del items[: len(outcomes)]


def _run_some(items: Sequence[ScheduledJob]) -> list[_Outcome]:
    """What became of the first of them. Where none was done, or the last failed, what is behind
    is to be done each by itself."""
    if (handover := handover_of(items[0].kind)) is not None:
        return _run_handover(items, handover)
    if len(items) == 1:
        return [_run_one(items[0])]
    return [_Outcome.DONE] * len(items) if _run_together(items) else []


def _run_handover(items: Sequence[ScheduledJob], handover: JobHandover) -> list[_Outcome]:
    """The same for what is handed over. Raises SoftTimeLimitExceeded as ``_run_one`` does."""
    try:
        ends = hand_over(items, handover)
    except SoftTimeLimitExceeded:
        _put_off(of_claim(items))
        raise
    except Exception as error:  # noqa: BLE001  of several: each finds out alone
        ends = [] if len(items) > 1 else [error]
    return [
        _Outcome.DONE if error is None else _ended(item, error)
        for item, error in zip(items, ends, strict=False)
    ]


def _joined(items: Sequence[ScheduledJob], alone: Collection[int]) -> list[ScheduledJob]:
    """The first row, and those behind it that are done in one transaction with it."""
    first = items[0]
    kind = installed.job_kinds.get(first.kind)
    if kind is None or first.pk in alone:
        return [first]
    alike = takewhile(lambda one: one.kind == first.kind, items[: kind.together])
    return list(alike)


def _run_together(items: Sequence[ScheduledJob]) -> bool:
    """Whether they could be done together. Raises SoftTimeLimitExceeded as ``_run_one`` does."""
    try:
        handle_together(items)
    except SoftTimeLimitExceeded:
        _put_off(of_claim(items))
        raise
    except Exception:  # noqa: BLE001  which of them it was, and what of it, each finds out alone
        return False
    return True
