"""A wake waits for the broker once and shortly; after a failure nobody tries for some seconds."""

from __future__ import annotations

import socket
import time
from collections.abc import Iterator

import pytest

from practice.jobs import wake
from practice.management.processes import free_port


@pytest.fixture
def broker_at(monkeypatch: pytest.MonkeyPatch) -> Iterator[socket.socket]:
    """A broker that takes connections and never says a word, as a frozen one."""
    from practice.celery import app

    monkeypatch.setattr(wake.circuit, "open_until", float("-inf"))
    before = app.conf.broker_url
    with socket.create_server(("127.0.0.1", 0)) as silent:
        app.conf.update(broker_url=f"redis://127.0.0.1:{silent.getsockname()[1]}/0")
        wake.load_transport()
        yield silent
    app.conf.update(broker_url=before)


def seconds_of_wake() -> float:
    began = time.perf_counter()
    wake.wake_workers()
    return time.perf_counter() - began


def test_a_frozen_broker_is_waited_for_once_and_shortly(
    broker_at: socket.socket, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(wake, "PAUSE_SECONDS", 60.0)
    assert seconds_of_wake() < 3
    until = wake.circuit.open_until
    assert until > float("-inf")
    for _ in range(20):
        wake.wake_workers()
    assert wake.circuit.open_until == until, "each try that fails prolongs the pause"


def test_after_the_pause_one_more_is_tried(broker_at: socket.socket) -> None:
    began = time.monotonic()
    wake.wake_workers()
    until, failed = wake.circuit.open_until, time.monotonic()
    assert began <= until - wake.PAUSE_SECONDS <= failed
    wake.circuit.open_until = time.monotonic()
    assert seconds_of_wake() > 0.2  # A broker that is only slow is waited for.
    assert wake.circuit.open_until > until


def test_a_refused_connection_costs_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    from practice.celery import app

    monkeypatch.setattr(wake.circuit, "open_until", float("-inf"))
    before = app.conf.broker_url
    app.conf.update(broker_url=f"redis://127.0.0.1:{free_port()}/0")
    try:
        wake.wake_workers()
        wake.circuit.open_until = float("-inf")
        assert seconds_of_wake() < 1
        assert wake.circuit.open_until > time.monotonic()
    finally:
        app.conf.update(broker_url=before)


def test_a_working_broker_leaves_the_circuit_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wake.circuit, "open_until", float("-inf"))
    wake.wake_workers()  # The memory transport of the tests.
    assert wake.circuit.open_until == float("-inf")
