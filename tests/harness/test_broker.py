"""A broker that refuses or is frozen holds requests a fraction of a second, and that seldom."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

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
REQUESTS = 10


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


@pytest.fixture
def tries(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """How long each try to reach the broker held its request. Of the whole request the rest would
    be measured too, which depends on what else the machine does."""
    taken: list[float] = []
    send = wake.current_app.send_task

    def timed(*given: Any, **options: Any) -> Any:
        began = time.perf_counter()
        try:
            return send(*given, **options)
        finally:
            taken.append(time.perf_counter() - began)

    monkeypatch.setattr(wake.current_app, "send_task", timed)
    return taken


def ask(built: Built) -> None:
    """Some requests that wake a worker after their commit."""
    owner = built.api(Role.OWNER)
    row = PracticeSetting.objects.get(group="calendar", key="start_grace_minutes")
    for number in range(REQUESTS):
        row.refresh_from_db()
        change = {"value": row.value, "citation": f"practice policy {number}"}
        ok(owner.patch(f"settings/{row.pk}", change, match=row.revision))


def refuse(broker: Broker) -> None:
    broker.stop()


def freeze(broker: Broker) -> None:
    broker.freeze()


@pytest.mark.parametrize("fault", [refuse, freeze])
def test_a_broker_that_is_away_holds_one_request_for_a_moment(
    broker: Broker,
    fault: Callable[[Broker], None],
    tries: list[float],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(wake, "PAUSE_SECONDS", 600.0)  # Longer than any machine needs for them.
    built = build_practice()
    ask(built)
    assert len(tries) == REQUESTS
    tries.clear()
    fault(broker)
    ask(built)
    if fault is freeze:
        broker.thaw()
    planned = ScheduledJob.objects.filter(kind=REEVALUATION_SWEEP, status="waiting").count()
    how = f"{fault.__name__}; of {REQUESTS} requests one waited {max(tries):.2f} s more"
    lost, doubled = int(planned < 1), max(planned - 1, 0)
    keep(FaultRow("broker away", how, REQUESTS, REQUESTS, lost, doubled, None))
    (held,) = tries  # One attempt, then none for some seconds.
    assert held < wake.PATIENCE_SECONDS + 2, "a short one"
    assert planned == 1


def test_without_the_pause_a_frozen_broker_holds_every_request(
    broker: Broker, tries: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    built = build_practice()
    monkeypatch.setattr(wake, "PAUSE_SECONDS", 0.0)
    broker.freeze()
    ask(built)
    broker.thaw()
    assert len(tries) == REQUESTS
    assert min(tries) > wake.PATIENCE_SECONDS - 0.1


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
