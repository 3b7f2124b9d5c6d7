"""The story ends at the first answer that is not what it tells of it."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from practice.demo.callers import DemoResponse
from practice.demo.checks import has, holds, lists, refused, same, shows
from practice.demo.telling import DemoStory, StepFailed


def answered(body: Any, status: int = 200) -> DemoResponse:
    return DemoResponse(status, {}, body)


class Answering:
    """A server that signs in everybody and always answers the same."""

    def __init__(self, body: Any) -> None:
        self.body = body

    def send(self, method: str, path: str, body: Any = None, headers: Any = None) -> DemoResponse:
        return answered({"token": "t"}, 201) if path == "/auth/tokens" else answered(self.body)


def step(body: Any, gives: int = 200) -> None:
    story = DemoStory(Answering(body), say=lambda line: None)
    story.do("owner", "GET", "/x", gives=gives, means="told", check=shows(visits=1))


def test_a_step_whose_answer_is_not_what_is_told_ends_the_story():
    step({"visits": 1})
    wrong_ones: tuple[Any, ...] = ({"visits": 2}, {}, "", None, [])
    for wrong in wrong_ones:
        with pytest.raises(StepFailed, match="not what the story needs"):
            step(wrong)


def test_another_status_ends_the_story():
    with pytest.raises(StepFailed, match="201 was expected, not 200"):
        step({"visits": 1}, gives=201)


def test_a_step_without_a_check_cannot_be_told():
    do: Any = DemoStory(Answering({}), say=lambda line: None).do
    with pytest.raises(TypeError, match="check"):
        do("owner", "GET", "/x", gives=200, means="told")


def test_every_value_must_be_there():
    assert has({"a": 1, "b": 2, "c": 3}, {"a": 1, "b": 2})
    assert not has({"a": 1, "b": 3}, {"a": 1, "b": 2})
    assert not holds(shows(a=1, b=2), answered({"a": 1}))


def test_every_row_must_be_listed():
    both = lists([{"name": "one"}, {"name": "two"}])
    assert holds(both, answered({"results": [{"name": "two"}, {"name": "one", "more": 1}]}))
    assert not holds(both, answered({"results": [{"name": "one"}]}))
    assert not holds(both, answered({"results": []}))


def test_a_refusal_is_known_by_its_code():
    told = {"code": "forbidden", "detail": "Only owner may do this."}
    assert holds(refused("forbidden"), answered(told, 403))
    assert not holds(refused("not_found"), answered(told, 403))
    assert not holds(refused("forbidden"), answered({**told, "detail": ""}, 403))


def test_an_instant_is_the_same_in_any_zone():
    noon = datetime(2026, 3, 2, 12, tzinfo=UTC)
    assert same("2026-03-02T07:00:00-05:00", noon)
    assert not same("2026-03-02T12:00:00-05:00", noon)
