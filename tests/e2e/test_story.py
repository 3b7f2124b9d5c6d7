"""The whole job over HTTP, by real processes: server, Celery worker, beat, Redis, database."""

from __future__ import annotations

from pathlib import Path

import pytest

from practice.demo import story
from tests.live import live_practice

pytestmark = pytest.mark.redis


def test_one_clients_whole_way_through_the_practice(tmp_path: Path) -> None:
    lines: list[str] = []
    with live_practice(tmp_path, TICK_SECONDS="1") as practice:
        practice.manage("load_demo", "--clients", "1")
        address = practice.start_server(0)
        practice.start_worker()
        practice.start_beat()
        held = story.play(address, lines.append)
        practice.manage("verify_log")
        practice.manage("rebuild", "--check")
    assert held, "\n".join(lines[-12:])
    assert sum(line.startswith("   ") for line in lines) > 70
