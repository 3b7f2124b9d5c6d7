"""Rows of one kind in one transaction: all or, where one fails, each by itself."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from threading import Event
from typing import Any
from uuid import UUID, uuid4

import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.db import connection, transaction

from practice.clock import clock
from practice.core.appspec import installed
from practice.core.decisions import Job
from practice.jobs import services
from practice.jobs.claims import LeaseLost, claim_jobs, finish_all
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import write_jobs
from practice.jobs.services import run_due_jobs
from practice.work import loading
from tests.eventstore.test_races import together
from tests.eventstore.toy import client
from tests.eventstore.toy_jobs import install_toy_jobs, plan

pytestmark = pytest.mark.django_db(transaction=True)
KIND = "toy together"
DONE, WAITING = ScheduledJob.Status.DONE, ScheduledJob.Status.WAITING


@pytest.fixture(autouse=True)
def _handled(monkeypatch: pytest.MonkeyPatch) -> None:
    install_toy_jobs(monkeypatch)


@pytest.fixture
def units(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The request id of each unit of work that a tick began."""
    begun: list[str] = []
    run = services.run_command

    def counted(actor: Any, request_id: str, *rest: Any) -> Any:
        begun.append(request_id)
        return run(actor, request_id, *rest)

    monkeypatch.setattr(services, "run_command", counted)
    return begun


def clients(count: int, kind: str = KIND) -> list[UUID]:
    """Clients each of whom something is due for."""
    found = [client() for _ in range(count)]
    for one in found:
        plan(one, kind=kind)
    return found


def cups(one: UUID) -> int:
    """Cups that a job put on the shelf, beside the one that a client begins with."""
    return len(loading.load_events(one)) - 1


def statuses() -> list[str]:
    return list(ScheduledJob.objects.order_by("id").values_list("status", flat=True))


def with_handler(monkeypatch: pytest.MonkeyPatch, odd: UUID, error: Exception) -> None:
    """What is due for one client ends in an error, after it was done."""
    handle = installed.job_handlers[KIND]

    def handler(uow: Any, job: ScheduledJob) -> None:
        handle(uow, job)
        if job.subject == odd:
            raise error

    monkeypatch.setitem(installed.job_handlers, KIND, handler)


def test_as_many_as_the_kind_allows_are_one_transaction(units: list[str]) -> None:
    seven = clients(7)
    assert run_due_jobs().done == 7
    assert len(units) == 3
    assert [cups(one) for one in seven] == [1] * 7
    assert statuses() == [DONE] * 7
    assert not ScheduledJob.objects.exclude(claim=None, lease_until=None).exists()


def test_each_of_them_is_known_by_its_own_request(units: list[str]) -> None:
    clients(3)
    run_due_jobs()
    assert len(units) == 1
    for row in ScheduledJob.objects.all():
        assert loading.load_events(row.subject)[-1].request_id == f"due-{row.pk}"


def test_a_row_of_another_kind_between_them_is_done_in_its_turn(units: list[str]) -> None:
    clients(2)
    clients(1, kind="toy")
    clients(2)
    assert run_due_jobs().done == 5
    assert len(units) == 3


def test_one_that_fails_keeps_none_of_the_others_back(
    monkeypatch: pytest.MonkeyPatch, units: list[str]
) -> None:
    one, odd, other = clients(3)
    with_handler(monkeypatch, odd, OSError("something is wrong with this one"))
    tick = run_due_jobs()
    assert (tick.done, tick.failed) == (2, 1)
    assert [cups(each) for each in (one, odd, other)] == [1, 0, 1]
    assert statuses() == [DONE, WAITING, DONE]
    assert list(ScheduledJob.objects.order_by("id").values_list("attempts", flat=True)) == [0, 1, 0]
    assert len(units) == 4, "once together, then each alone"


def test_one_that_was_lost_to_another_worker_is_not_done_here(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    one, odd, other = clients(3)
    handle = installed.job_handlers[KIND]
    claimed = uuid4()

    def handler(uow: Any, job: ScheduledJob) -> None:
        handle(uow, job)
        if job.subject == odd:  # Within this transaction: it stands where the unit commits.
            ScheduledJob.objects.filter(pk=job.pk).update(claim=claimed)

    monkeypatch.setitem(installed.job_handlers, KIND, handler)
    tick = run_due_jobs()
    assert (tick.done, tick.failed, tick.lost) == (2, 0, 1)
    assert [cups(each) for each in (one, odd, other)] == [1, 0, 1]


def test_the_time_limit_is_charged_to_none_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    three = clients(4)[:3]
    with_handler(monkeypatch, three[1], SoftTimeLimitExceeded())
    with pytest.raises(SoftTimeLimitExceeded):
        run_due_jobs()
    assert [cups(one) for one in three] == [0, 0, 0]
    rows = list(ScheduledJob.objects.order_by("id"))
    assert [(row.status, row.attempts, row.claim) for row in rows] == [(WAITING, 0, None)] * 4
    later = clock.now() + timedelta(seconds=30)
    assert [row.due_at > later for row in rows] == [True, True, True, False]


def test_a_row_of_a_kind_that_nobody_knows_stops_no_other() -> None:
    """Of a newer program: it will do it. Here it waits, further apart each time."""
    plan(client())
    ScheduledJob.objects.update(kind="toy of tomorrow")
    (one,) = clients(1)
    for days in (0, 30):
        with clock.at(clock.now() + timedelta(days=days)):
            tick = run_due_jobs()
        assert (tick.done, tick.failed) == (1 if not days else 0, 1)
    assert cups(one) == 1
    row = ScheduledJob.objects.get(kind="toy of tomorrow")
    assert (row.status, row.attempts) == (WAITING, 2)


@pytest.mark.postgresql
def test_rows_that_somebody_is_changing_are_not_waited_for() -> None:
    """Two who wait for each other's rows wait for ever; so whoever finishes several waits not."""
    two = clients(2)
    items = claim_jobs(clock.now())
    held, tried = Event(), Event()

    def change(_: int) -> None:
        with transaction.atomic():
            ScheduledJob.objects.filter(subject=two[1]).update(attempts=0)
            held.set()
            assert tried.wait(10)

    def finish(_: int) -> None:
        assert held.wait(10)
        try:
            with transaction.atomic(), connection.cursor() as cursor:
                cursor.execute("SET LOCAL lock_timeout = '2s'")
                finish_all(items)
        finally:
            tried.set()

    acts: tuple[Callable[[int], None], ...] = (change, finish)
    changed, finished = together(lambda number: acts[number](number), 2)
    assert changed is None
    assert isinstance(finished, LeaseLost)
    assert statuses() == [WAITING, WAITING]


def test_occasions_of_one_client_are_done_in_their_order() -> None:
    one = client()
    write_jobs([Job(KIND, one, occasion=word) for word in ("b", "a", "c")])
    assert run_due_jobs().done == 3
    assert [event.data.name for event in loading.load_events(one)[1:]] == ["b", "a", "c"]
