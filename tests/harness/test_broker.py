"""A broker that refuses or is frozen holds requests a fraction of a second, and that seldom."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from practice.core.terms import Role
from practice.jobs import wake
from practice.jobs.models import ScheduledJob
from practice.policy.models import PracticeSetting
from sessions.reevaluation.services import REEVALUATION_SWEEP
from tests.builders import Built, build_practice, ok
from tests.harness.table import FaultRow, keep
from tests.harness.world import Broker, wake_through

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.redis,
    pytest.mark.harness,
]
REQUESTS, SLOW = 10, 0.25


@pytest.fixture
def broker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Broker]:
    """A Redis of this test's own, answered once: what comes later finds it refused or frozen."""
    from practice.celery import app

    monkeypatch.setattr(wake.circuit, "open_until", float("-inf"))
    one = Broker(tmp_path)
    one.start()
    before = app.conf.broker_url
    wake_through(one.url)
    wake.wake_workers()
    yield one
    wake_through(before)
    one.stop()


def seconds_of(built: Built) -> list[float]:
    """How long each of some requests took that wake a worker after their commit."""
    owner, taken = built.api(Role.OWNER), []
    row = PracticeSetting.objects.get(group="calendar", key="start_grace_minutes")
    for number in range(REQUESTS):
        row.refresh_from_db()
        began = time.perf_counter()
        change = {"value": row.value, "citation": f"practice policy {number}"}
        ok(owner.patch(f"settings/{row.pk}", change, match=row.revision))
        taken.append(time.perf_counter() - began)
    return taken


def refuse(broker: Broker) -> None:
    broker.stop()


def freeze(broker: Broker) -> None:
    broker.freeze()


@pytest.mark.parametrize("fault", [refuse, freeze])
def test_a_broker_that_is_away_holds_one_request_for_a_moment(
    broker: Broker, fault: Callable[[Broker], None]
) -> None:
    built = build_practice()
    usual = sorted(seconds_of(built))[REQUESTS // 2]
    fault(broker)
    taken = sorted(one - usual for one in seconds_of(built))
    if fault is freeze:
        broker.thaw()
    planned = ScheduledJob.objects.filter(kind=REEVALUATION_SWEEP, status="waiting").count()
    how = f"{fault.__name__}; the slowest of {REQUESTS} requests waited {taken[-1]:.2f} s more"
    lost, doubled = int(planned < 1), max(planned - 1, 0)
    keep(FaultRow("broker away", how, REQUESTS, REQUESTS, lost, doubled, None))
    assert taken[-1] < wake.PATIENCE_SECONDS + 0.7, "one short attempt"
    assert taken[-2] < SLOW, "then none for some seconds"
    assert planned == 1


def test_without_the_pause_a_frozen_broker_holds_every_request(
    broker: Broker, monkeypatch: pytest.MonkeyPatch
) -> None:
    built = build_practice()
    monkeypatch.setattr(wake, "PAUSE_SECONDS", 0.0)
    usual = sorted(seconds_of(built))[REQUESTS // 2]
    broker.freeze()
    taken = [one - usual for one in seconds_of(built)]
    broker.thaw()
    assert min(taken) > wake.PATIENCE_SECONDS - 0.1


def test_a_broker_that_is_back_is_woken_through_again(
    broker: Broker, monkeypatch: pytest.MonkeyPatch
) -> None:
    broker.stop()
    wake.wake_workers()
    assert wake.circuit.open_until > time.monotonic()
    broker.start()
    wake.circuit.open_until = time.monotonic()
    monkeypatch.setattr(wake, "PAUSE_SECONDS", 60.0)
    wake.wake_workers()
    assert wake.circuit.open_until <= time.monotonic()
