"""A story that was told before is read and not told a second time."""

from __future__ import annotations

from typing import Any

from practice.demo.callers import DemoResponse
from practice.demo.story import run_story
from practice.demo.telling import DemoStory


class Server:
    """One that has the story's client on record, or not, and answers nothing else."""

    def __init__(self, known: bool) -> None:
        self.found = [{"id": "one", "registered_at": "2026-03-02T10:00:00Z"}] if known else []
        self.asked: list[str] = []

    def send(self, method: str, path: str, body: Any = None, headers: Any = None) -> DemoResponse:
        self.asked.append(f"{method} {path}")
        if path == "/auth/tokens":
            return DemoResponse(201, {}, {"token": "t"})
        if path == "/clients/search":
            return DemoResponse(200, {}, {"results": self.found})
        return DemoResponse(500, {}, {})


def told(known: bool) -> tuple[Server, list[str]]:
    server, lines = Server(known), list[str]()
    assert run_story(DemoStory(server, lines.append)) is False
    return server, lines


def test_where_the_client_is_on_record_it_says_so_and_writes_nothing() -> None:
    server, lines = told(known=True)
    assert any("since 2026-03-02" in line and "nothing is written twice" in line for line in lines)
    assert "POST /clients" not in server.asked


def test_where_the_client_is_not_on_record_the_story_is_told() -> None:
    _, lines = told(known=False)
    assert not any("twice" in line for line in lines)
