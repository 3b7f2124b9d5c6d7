"""Two writers of one stream, two workers on one row: with the guard and, as a control, without."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Barrier, Thread
from typing import Any
from unittest import mock
from uuid import UUID, uuid4

import pytest
from django.db import connection, connections, transaction
from django.db.models import QuerySet

from practice.clock import clock
from practice.eventstore import postgresql
from practice.jobs import claims
from practice.jobs.claims import claim_jobs
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import plan_single
from practice.work import loading
from tests.eventstore.toy import SHELF, client, put, run
from tests.eventstore.toy_jobs import install_toy_jobs
from tests.races.lifted import shown_within_rounds
from tests.races.meeting import PATIENCE, Meeting, before_writing

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
WRITERS = 6
PATIENT = (
    "SET lock_timeout = '60s'; SET statement_timeout = '60s';"
    " SET idle_in_transaction_session_timeout = '60s'"
)
"""The product's limits tell the last of a queue to try again where a machine is slow; what is
asked here is who succeeds, not how fast."""


def together(work: Callable[[int], Any], count: int) -> list[Any]:
    """Run ``work(n)`` in threads released at once; results or the exceptions they ended in."""
    gate = Barrier(count)
    results: list[Any] = [None] * count

    def one(number: int) -> None:
        try:
            be_patient()
            gate.wait()
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


def be_patient() -> None:
    """Longer limits for the connection of this thread, which is there from now on."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(PATIENT)


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


def test_the_second_writer_decides_when_the_first_has_written() -> None:
    one = client()
    with before_writing(seconds=1.0) as meeting:
        results = together(lambda number: run(one, put(f"cup {number}")), 2)
    assert not [error for error in results if isinstance(error, Exception)]
    assert not meeting.met


def test_without_the_head_lock_writers_collide() -> None:
    one = client()
    with no_row_locks(), before_writing() as meeting:
        shown_within_rounds(
            lambda _: any(isinstance(result, Exception) for result in write_at_once(one)), meeting
        )


def claims_at_once(rows: int = 40) -> list[Any]:
    """What six workers claimed of due rows at one moment: the ids, or what each ended in."""
    ScheduledJob.objects.all().delete()
    now = clock.now()
    ScheduledJob.objects.bulk_create(
        ScheduledJob(kind="toy", key=f"race {number}", subject=uuid4(), about=uuid4(), due_at=now)
        for number in range(rows)
    )
    return together(lambda _: [item.id for item in claim_jobs(now, limit=rows)], WRITERS)


def claim_at_once() -> list[int]:
    """Ids of the due rows that they claimed between them; none may have ended otherwise."""
    claimed = claims_at_once()
    assert not [one for one in claimed if isinstance(one, Exception)]
    return [number for ids in claimed for number in ids]


def test_no_due_row_is_claimed_twice() -> None:
    for _ in range(5):
        claimed = claim_at_once()
        assert len(claimed) == len(set(claimed)) == 40


@contextmanager
def after_finding_what_is_due(seconds: float = PATIENCE) -> Iterator[Meeting]:
    """Two workers meet when each has found rows that are due and has claimed none."""
    meeting, due = Meeting(seconds=seconds), claims._due

    def found(*given: Any) -> list[ScheduledJob]:
        rows = list(due(*given))
        if rows:
            meeting.wait()
        return rows

    with mock.patch.object(claims, "_due", found):
        yield meeting


def test_what_one_worker_has_found_the_others_pass_over() -> None:
    with after_finding_what_is_due(seconds=1.0) as meeting:
        claimed = claim_at_once()
    assert len(claimed) == len(set(claimed)) == 40
    assert not meeting.met


def test_without_row_locks_due_rows_are_claimed_by_two_workers() -> None:
    def twice(_: int) -> bool:
        """Two have one row, or each waits for a row that the other is writing: a deadlock."""
        claimed = claims_at_once()
        if any(isinstance(one, Exception) for one in claimed):
            return True
        ids = [number for of_one in claimed for number in of_one]
        return len(ids) > len(set(ids))

    with no_row_locks(), after_finding_what_is_due() as meeting:
        shown_within_rounds(twice, meeting)


def sweeps_planned(plan: Callable[[UUID], Any]) -> int:
    """How many rows wait after several settings were saved at once."""
    one = uuid4()

    def save(number: int) -> None:
        with transaction.atomic(durable=True):
            plan(one)

    results = together(save, WRITERS)
    assert results == [None] * WRITERS
    return ScheduledJob.objects.filter(subject=one, status="waiting").count()


def plan_unless_one_waits(one: UUID, meeting: Meeting) -> None:
    """The guard off: a look, then a row of its own key."""
    waits = ScheduledJob.objects.filter(subject=one, status="waiting").exists()
    meeting.wait()
    if not waits:
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
    meeting = Meeting()

    def several(_: int) -> bool:
        return sweeps_planned(lambda one: plan_unless_one_waits(one, meeting)) > 1

    shown_within_rounds(several, meeting)
