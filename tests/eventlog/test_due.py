"""Due work: decided again, done once, put back, given up."""

from datetime import timedelta
from uuid import UUID

import pytest

from practice.clock import clock
from practice.domain.decisions import Due
from practice.due import registry
from practice.due.models import DueItem
from practice.due.planning import write_due
from practice.due.services import LEASE, MAX_ATTEMPTS, claim_due, handle_one, run_due
from practice.eventlog import loading
from practice.eventlog.runner import Work
from tests.eventlog.toy import SHELF, client, put

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _handled(monkeypatch: pytest.MonkeyPatch) -> None:
    def handle(work: Work, subject: UUID, key: str) -> None:
        work.execute(subject, (SHELF,), put(key))

    def fail(work: Work, subject: UUID, key: str) -> None:
        handle(work, subject, key)
        raise OSError("the mail server is away")

    monkeypatch.setitem(registry._handlers, "toy", handle)
    monkeypatch.setitem(registry._handlers, "toy fails", fail)


def plan(one: UUID, key: str = "a", kind: str = "toy", **options: object) -> None:
    write_due([Due(kind=kind, key=key, subject=one, **options)])  # type: ignore[arg-type]


def test_due_work_is_done_once_however_many_ticks_run() -> None:
    one = client()
    plan(one)
    assert [run_due().done, run_due().done, run_due().done] == [1, 0, 0]
    assert loading.load(one, (SHELF,))[SHELF][0] == ("first", "a")


def test_work_that_is_not_due_yet_waits() -> None:
    one = client()
    plan(one, at=clock.now() + timedelta(days=60))
    assert run_due().done == 0
    with clock.at(clock.now() + timedelta(days=61)):
        assert run_due().done == 1


def test_withdrawn_work_is_not_done_and_can_be_planned_anew() -> None:
    one = client()
    later = clock.now() + timedelta(days=1)
    plan(one, at=later)
    plan(one, cancels=True)
    with clock.at(later):
        assert run_due().done == 0
        plan(one, at=later)
        assert run_due().done == 1


def test_an_occasion_that_was_done_is_not_planned_again() -> None:
    one = client()
    plan(one)
    run_due()
    plan(one)
    assert run_due().done == 0


def test_a_failure_leaves_nothing_half_done_and_is_tried_again_later() -> None:
    one = client()
    plan(one, kind="toy fails")
    tick = run_due()
    item = DueItem.objects.get()
    assert (tick.done, tick.failed, item.attempts) == (0, 1, 1)
    assert item.due_at > clock.now()
    assert item.last_error == "OSError"
    assert loading.version_of(one) == 1


def test_what_fails_too_often_is_given_up_and_shown() -> None:
    one = client()
    plan(one, kind="toy fails")
    now = clock.now()
    for day in range(1, MAX_ATTEMPTS + 1):
        with clock.at(now + timedelta(days=day)):
            run_due()
    assert DueItem.objects.get().status == DueItem.Status.GIVEN_UP


def test_a_worker_that_lost_its_lease_writes_nothing() -> None:
    one = client()
    plan(one)
    (first,) = claim_due(clock.now())
    with clock.at(clock.now() + LEASE * 2):
        (second,) = claim_due(clock.now())
        handle_one(second)
    with pytest.raises(Exception, match="a"):
        handle_one(first)
    assert loading.load(one, (SHELF,))[SHELF][0] == ("first", "a")


def test_a_worker_killed_after_its_claim_loses_nothing() -> None:
    one = client()
    plan(one)
    claim_due(clock.now())
    assert run_due().done == 0
    with clock.at(clock.now() + LEASE * 2):
        assert run_due().done == 1
