"""The processes of the demo, with a real Redis, on both engines."""

from __future__ import annotations

import json
import signal
import time
import urllib.request

import pytest

from tests.live import live_practice

pytestmark = pytest.mark.redis


def wait_for_line(process, text, seconds=20):
    process.wait_until(lambda: text in process.last_lines(500), seconds)


def test_server_worker_and_beat_work_together_and_end_together(tmp_path):
    with live_practice(tmp_path, TICK_SECONDS="1") as practice:
        address = practice.start_server(18_000)
        with urllib.request.urlopen(f"{address}/api/v1/health/ready") as answer:
            assert answer.status == 200
            json.load(answer)
        worker = practice.start_worker()
        practice.start_beat()
        wait_for_line(worker, "succeeded")  # A tick went from beat over Redis to the worker.
        assert "ERROR" not in worker.last_lines(500)
        processes = list(practice.group.processes)
    assert not any(process.running for process in processes)


def test_another_worker_goes_on_after_one_was_killed(tmp_path):
    with live_practice(tmp_path, TICK_SECONDS="1") as practice:
        first = practice.start_worker()
        practice.start_beat()
        wait_for_line(first, "succeeded")
        first.kill()
        time.sleep(0.2)
        assert first.popen.wait(5) == -signal.SIGKILL
        wait_for_line(practice.start_worker(), "succeeded")
