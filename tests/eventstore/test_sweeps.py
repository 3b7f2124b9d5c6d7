"""Sweeps: one waiting row, however often they are asked for; what goes first."""

from uuid import uuid4

import pytest
from django.db import IntegrityError

from practice.clock import clock
from practice.core.jobs import JobOrder
from practice.jobs.claims import LeaseLost, claim_jobs
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import plan_for_each, plan_single
from practice.jobs.services import handle_one, run_due_jobs
from tests.eventstore.toy_jobs import install_toy_jobs

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _handled(monkeypatch: pytest.MonkeyPatch) -> None:
    install_toy_jobs(monkeypatch)


def sweeps() -> list[tuple[str, object]]:
    rows = ScheduledJob.objects.filter(kind="toy sweep").order_by("id")
    return list(rows.values_list("status", "claim"))


def test_eight_saved_settings_plan_one_sweep() -> None:
    one = uuid4()
    for _ in range(8):
        plan_single("toy sweep", one)
    assert sweeps() == [("waiting", None)]
    run_due_jobs()
    plan_single("toy sweep", one)
    assert sweeps() == [("done", None), ("waiting", None)]


def test_settings_saved_while_a_sweep_runs_lead_to_exactly_one_more() -> None:
    one = uuid4()
    plan_single("toy sweep", one)
    (running,) = claim_jobs(clock.now())
    plan_single("toy sweep", one)
    with pytest.raises(LeaseLost):
        handle_one(running)
    assert sweeps() == [("waiting", None)]
    assert (run_due_jobs().done, run_due_jobs().done) == (1, 0)


def test_a_client_waits_once_however_many_sweeps_come_by() -> None:
    clients = [uuid4() for _ in range(5)]
    plan_for_each("toy sweep", clients[:4], 1)
    (held, *_) = claim_jobs(clock.now(), limit=1)
    plan_for_each("toy sweep", clients, 2)
    assert sweeps() == [("waiting", None)] * 5
    with pytest.raises(LeaseLost):
        handle_one(held)
    assert run_due_jobs().done == 5
    plan_for_each("toy sweep", clients, 3)
    assert len(sweeps()) == 10


def test_the_database_takes_no_order_that_there_is_none_of() -> None:
    """Such a row would never be claimed."""
    plan_single("toy sweep", uuid4())
    for order in JobOrder:
        ScheduledJob.objects.update(order=order)
    with pytest.raises(IntegrityError):
        ScheduledJob.objects.update(order=max(JobOrder) + 1)


def test_a_claim_of_several_orders_takes_no_more_than_it_may() -> None:
    plan_for_each("toy sweep", [uuid4() for _ in range(3)], 1)
    plan_for_each("toy", [uuid4() for _ in range(2)], 2)
    kinds = [[item.kind for item in claim_jobs(clock.now(), limit=4)] for _ in range(2)]
    assert kinds == [["toy", "toy", "toy sweep", "toy sweep"], ["toy sweep"]]
