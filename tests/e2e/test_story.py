"""The whole job over HTTP, by real processes: server, Celery worker, beat, Redis, database."""

from __future__ import annotations

import json
from copy import deepcopy
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from practice.demo import story, telling
from practice.demo.callers import DemoResponse, HttpCaller, sign_in_demo_user
from practice.demo.checks import Check, holds
from tests.e2e.lies import LIES
from tests.live import live_practice

pytestmark = pytest.mark.redis

Told = list[tuple[str, Check, DemoResponse]]
"""What each step said, how it checks that, and what was answered."""


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> Told:
    """The steps of the story that is played in the test."""
    steps: Told = []
    do = telling.DemoStory.do

    def keep(self: Any, *args: Any, means: str, check: Check, **more: Any) -> DemoResponse:
        answer = do(self, *args, means=means, check=check, **more)
        # A check reads what the story kept, which goes on: each step is lied to at once.
        steps.append((means, check, answer))
        assert not holds(check, emptied(answer)), f"checks nothing: {means}"
        for path, value in LIES.get(means, ()):
            lie = lied(answer, path, value)
            assert not holds(check, lie), f"does not see {path} as {value!r}: {means}"
        return answer

    monkeypatch.setattr(telling.DemoStory, "do", keep)
    return steps


def emptied(answer: DemoResponse) -> DemoResponse:
    """The same status with nothing in it; of a list, one row that says nothing."""
    if isinstance(answer.body, dict) and "results" in answer.body:
        return replace(answer, body={"results": [{}]})
    return replace(answer, body={} if isinstance(answer.body, dict) else "")


def lied(answer: DemoResponse, path: str, value: Any) -> DemoResponse:
    """The answer with another value at ``a.0.b``, or with other words where it is text."""
    if isinstance(answer.body, str):
        assert path in answer.body, f"{path} is not in {answer.body}"
        return replace(answer, body=answer.body.replace(path, value))
    body = deepcopy(answer.body)
    found: Any = body
    key: Any = ""
    for name in path.split("."):
        found = found[key] if key != "" else body
        key = int(name) if isinstance(found, list) else name
    before = found.get(key, "left out") if isinstance(found, dict) else found[key]
    assert before != value, f"{path} is {value!r} already"
    found[key] = value
    return replace(answer, body=body)


def test_one_clients_whole_way_through_the_practice(tmp_path: Path, told: Told) -> None:
    lines: list[str] = []
    with live_practice(tmp_path, TICK_SECONDS="1") as practice:
        practice.manage("load_demo", "--clients", "1")
        address = practice.start_server(0)
        practice.start_worker()
        practice.start_beat()
        held = story.play(address, lines.append, practice.var)
        steps = len(told)
        clients, again = clients_of(address), list[str]()
        practice.manage("load_demo")
        held_again = story.play(address, again.append, practice.var)
        assert clients_of(address) == clients
        practice.manage("verify_log")
        practice.manage("rebuild", "--check")
    assert held, "\n".join(lines[-12:])
    assert sum(line.startswith("   ") for line in lines) == steps > 95
    # A second demo finds what is there: it reads, and nothing is written twice.
    assert held_again, "\n".join(again[-12:])
    assert any("nothing is written twice" in line for line in again)
    assert len(clients) == len(set(clients)) > 2
    # Each step was lied to: emptied, and where it tells of a value, with another value.
    assert set(LIES) <= {means for means, _, _ in told}, set(LIES) - {one[0] for one in told}
    assert json.dumps([answer.body for _, _, answer in told])


def clients_of(address: str) -> list[str]:
    """The names of all clients; one who is there twice is named twice."""
    owner = sign_in_demo_user(HttpCaller(address), *OWNER)
    rows = owner.send("GET", "/clients?page_size=200")["results"]
    return sorted(one["name"] for one in rows)


OWNER = next(one for one in story.LOGINS if one[0] == "owner")
