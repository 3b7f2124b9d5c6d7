"""Two writers of one stream, two workers on one row: with the guard and, as a control, without."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Barrier, Thread
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import connections, transaction
from django.db.models import QuerySet

from practice.clock import clock
from practice.eventstore import postgresql
from practice.jobs.claims import claim_jobs
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import plan_single
from practice.work import loading
from tests.eventstore.toy import SHELF, client, put, run
from tests.eventstore.toy_jobs import install_toy_jobs

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
WRITERS, ROUNDS = 6, 20


def together(work: Callable[[int], Any], count: int) -> list[Any]:
    """Run ``work(n)`` in threads released at once; results or the exceptions they ended in."""
    gate = Barrier(count)
    results: list[Any] = [None] * count

    def one(number: int) -> None:
        gate.wait()
        try:
            results[number] = work(number)
        except Exception as error:  # noqa: BLE001 - the result of the thread
            results[number] = error
        finally:
            connections.close_all()

    threads = [Thread(target=one, args=(number,)) for number in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


@contextmanager
def no_row_locks() -> Iterator[None]:
    """The guard off: neither ``select_for_update`` nor the log's own statement locks."""
    original, lock = QuerySet.select_for_update, postgresql.LOCK
    QuerySet.select_for_update = lambda self, *args, **options: self  # type: ignore[method-assign]
    postgresql.LOCK = lock.replace(" FOR UPDATE", "")
    try:
        yield
    finally:
        QuerySet.select_for_update = original  # type: ignore[method-assign]
        postgresql.LOCK = lock


def write_at_once(one: UUID) -> list[Any]:
    return together(lambda number: run(one, put(f"cup {number}")), WRITERS)


def test_writers_of_one_stream_queue_and_none_is_lost() -> None:
    one = client()
    for _ in range(5):
        assert not [error for error in write_at_once(one) if isinstance(error, Exception)]
    assert len(loading.load_states(one, (SHELF,))[SHELF][0]) == 1 + 5 * WRITERS


def test_without_the_head_lock_writers_collide() -> None:
    one = client()
    with no_row_locks():
        for _ in range(ROUNDS):
            if any(isinstance(result, Exception) for result in write_at_once(one)):
                return
    pytest.fail("no collision in 20 rounds: the race test proves nothing")


def claim_at_once(rows: int = 40) -> list[int]:
    """Ids of due rows that six workers claimed between them at one moment."""
    ScheduledJob.objects.all().delete()
    now = clock.now()
    ScheduledJob.objects.bulk_create(
        ScheduledJob(kind="toy", key=f"race {number}", subject=uuid4(), about=uuid4(), due_at=now)
        for number in range(rows)
    )
    claimed = together(lambda _: [item.id for item in claim_jobs(now, limit=rows)], WRITERS)
    assert not [one for one in claimed if isinstance(one, Exception)]
    return [number for ids in claimed for number in ids]


def test_no_due_row_is_claimed_twice() -> None:
    for _ in range(5):
        claimed = claim_at_once()
        assert len(claimed) == len(set(claimed)) == 40


def test_without_row_locks_due_rows_are_claimed_by_two_workers() -> None:
    with no_row_locks():
        for _ in range(ROUNDS):
            claimed = claim_at_once()
            if len(claimed) > len(set(claimed)):
                return
    pytest.fail("no double claim in 20 rounds: the race test proves nothing")


def sweeps_planned(plan: Callable[[UUID], Any]) -> int:
    """How many rows wait after several settings were saved at once."""
    one = uuid4()

    def save(number: int) -> None:
        with transaction.atomic(durable=True):
            plan(one)

    results = together(save, WRITERS)
    assert results == [None] * WRITERS
    return ScheduledJob.objects.filter(subject=one, status="waiting").count()


def plan_unless_one_waits(one: UUID) -> None:
    """The guard off: a look, then a row of its own key."""
    if not ScheduledJob.objects.filter(subject=one, status="waiting").exists():
        ScheduledJob.objects.create(
            kind="toy sweep", key=str(uuid4()), subject=one, about=one, due_at=clock.now()
        )


def test_settings_saved_at_once_plan_one_sweep(monkeypatch: pytest.MonkeyPatch) -> None:
    install_toy_jobs(monkeypatch)
    planned = [sweeps_planned(lambda one: plan_single("toy sweep", one)) for _ in range(5)]
    assert planned == [1] * 5


def test_without_the_guard_settings_saved_at_once_plan_several(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    install_toy_jobs(monkeypatch)
    assert any(sweeps_planned(plan_unless_one_waits) > 1 for _ in range(ROUNDS))
