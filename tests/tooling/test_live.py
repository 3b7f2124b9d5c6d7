"""The processes of the demo with a real Redis, at length: tests/e2e and tests/harness run them
always, on both engines."""

from __future__ import annotations

import json
import signal
import urllib.request

import pytest

from tests.live import live_practice

pytestmark = [pytest.mark.redis, pytest.mark.full]


def wait_for_line(process, text, seconds=20):
    process.wait_until(lambda: text in process.last_lines(500), seconds)


def test_processes_work_together_survive_a_killed_worker_and_end_together(tmp_path):
    with live_practice(tmp_path, TICK_SECONDS="1") as practice:
        address = practice.start_server(18_000)
        with urllib.request.urlopen(f"{address}/api/v1/health/ready") as answer:
            assert answer.status == 200
            json.load(answer)

        practice.start_beat()
        first = practice.start_worker()
        wait_for_line(first, "succeeded")  # A tick went from beat over Redis to the worker.
        assert "ERROR" not in first.last_lines(500)

        first.kill()
        assert first.popen.wait(5) == -signal.SIGKILL
        second = practice.start_worker()
        wait_for_line(second, "succeeded")
        processes = list(practice.group.processes)
    assert not any(process.running for process in processes)
