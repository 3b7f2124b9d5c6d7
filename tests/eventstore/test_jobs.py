"""Due work: decided again, done once, put back, given up."""

from datetime import timedelta
from uuid import UUID, uuid4

import pytest

from practice.clock import clock
from practice.core.decisions import Job
from practice.jobs.claims import LEASE, claim_jobs
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import write_jobs
from practice.jobs.services import handle_one, run_due_jobs
from practice.work import loading
from tests.eventstore.toy import SHELF, client
from tests.eventstore.toy_jobs import install_toy_jobs, plan

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _handled(monkeypatch: pytest.MonkeyPatch) -> None:
    install_toy_jobs(monkeypatch)


def test_due_work_is_done_once_however_many_ticks_run() -> None:
    one = client()
    plan(one)
    assert [run_due_jobs().done, run_due_jobs().done, run_due_jobs().done] == [1, 0, 0]
    assert loading.load_states(one, (SHELF,))[SHELF][0] == ("first", "a")


def test_work_that_is_not_due_yet_waits() -> None:
    one = client()
    plan(one, due_at=clock.now() + timedelta(days=60))
    assert run_due_jobs().done == 0
    with clock.at(clock.now() + timedelta(days=61)):
        assert run_due_jobs().done == 1


def test_withdrawn_work_is_not_done_and_can_be_planned_anew() -> None:
    one = client()
    later = clock.now() + timedelta(days=1)
    plan(one, due_at=later)
    plan(one, cancels=True)
    with clock.at(later):
        assert run_due_jobs().done == 0
        plan(one, due_at=later)
        assert run_due_jobs().done == 1


def test_an_occasion_that_was_done_is_not_planned_again() -> None:
    one = client()
    plan(one)
    run_due_jobs()
    plan(one)
    assert run_due_jobs().done == 0


def test_a_failure_leaves_nothing_half_done_and_is_tried_again_later() -> None:
    one = client()
    plan(one, kind="toy fails")
    tick = run_due_jobs()
    item = ScheduledJob.objects.get()
    assert (tick.done, tick.failed, item.attempts) == (0, 1, 1)
    assert item.due_at > clock.now()
    assert item.last_error == "OSError"
    assert loading.stream_version(one) == 1


def test_a_worker_that_lost_its_lease_writes_nothing() -> None:
    one = client()
    plan(one)
    (first,) = claim_jobs(clock.now())
    with clock.at(clock.now() + LEASE * 2):
        (second,) = claim_jobs(clock.now())
        handle_one(second)
    with pytest.raises(Exception, match="a"):
        handle_one(first)
    assert loading.load_states(one, (SHELF,))[SHELF][0] == ("first", "a")


def test_a_worker_killed_after_its_claim_loses_nothing() -> None:
    one = client()
    plan(one)
    claim_jobs(clock.now())
    assert run_due_jobs().done == 0
    with clock.at(clock.now() + LEASE * 2):
        assert run_due_jobs().done == 1


def test_the_row_says_what_the_work_is_about_and_once_per_occasion_of_it() -> None:
    one, other = client(), uuid4()
    for about, occasion in ((None, "a"), (other, "a"), (other, "b"), (other, "b")):
        plan_about(one, about, occasion)
    rows = ScheduledJob.objects.order_by("id").values_list("subject", "about", "occasion")
    assert list(rows) == [(one, one, "a"), (one, other, "a"), (one, other, "b")]


def plan_about(one: UUID, about: UUID | None, occasion: str) -> None:
    write_jobs([Job("toy", one, about, occasion, due_at=clock.now() + timedelta(days=1))])


def test_work_of_a_kind_that_nobody_does_is_not_planned() -> None:
    with pytest.raises(LookupError, match="'toy nobody'"):
        plan(uuid4(), kind="toy nobody")
    assert not ScheduledJob.objects.exists()
