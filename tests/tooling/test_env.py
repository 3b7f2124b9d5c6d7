"""Words of the environment: what is understood, and what is a problem with its sentence."""

from __future__ import annotations

import base64

import pytest

from practice.env import Env, is_key, looks_random


@pytest.mark.parametrize("word", ["1", "true", "Yes", " on "])
def test_a_switch_is_on(word: str) -> None:
    env = Env({"SWITCH": word})
    assert (env.switch("SWITCH"), env.problems) == (True, [])


@pytest.mark.parametrize("word", ["0", "false", "No", "off"])
def test_a_switch_is_off_whatever_is_usual(word: str) -> None:
    env = Env({"SWITCH": word})
    assert (env.switch("SWITCH", default=True), env.problems) == (False, [])


def test_a_switch_that_is_not_set_is_as_usual() -> None:
    assert Env({}).switch("SWITCH", default=True)
    assert not Env({"SWITCH": ""}).switch("SWITCH")


def test_another_word_is_a_problem_and_off() -> None:
    env = Env({"SWITCH": "perhaps"})
    assert not env.switch("SWITCH", default=True)
    assert env.problems == ["SWITCH is 'perhaps': write 1 or 0."]


@pytest.mark.parametrize("word", ["soon", "-1", "1.5"])
def test_what_is_no_whole_number_is_a_problem(word: str) -> None:
    env = Env({"SECONDS": word})
    assert env.number("SECONDS", 30) == 30
    assert env.problems == [f"SECONDS is {word!r}: write a whole number."]


def test_a_number_is_read_or_the_usual_one() -> None:
    env = Env({"SECONDS": "7"})
    assert (env.number("SECONDS", 30), env.number("OTHER", 30), env.problems) == (7, 30, [])


def test_the_environment_of_the_process_is_asked_only_where_none_is_given(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("A_WORD_OF_TESTS", "outside")
    assert Env().text("A_WORD_OF_TESTS") == "outside"
    assert Env({}).text("A_WORD_OF_TESTS", "usual") == "usual"


@pytest.mark.parametrize(("count", "fits"), [(31, False), (32, True), (33, False)])
def test_a_key_has_exactly_32_bytes(count: int, fits: bool) -> None:
    assert is_key(base64.b64encode(bytes(count)).decode()) is fits


def test_what_is_no_base64_is_no_key() -> None:
    assert not is_key("not base64!")


@pytest.mark.parametrize(("different", "random"), [(15, False), (16, True)])
def test_a_random_key_has_many_different_bytes(different: int, random: bool) -> None:
    few = [(index * index * 7) % 251 for index in range(different)]
    raw = bytes((few * 3)[:32])
    assert len(set(raw)) == different
    assert looks_random(base64.b64encode(raw).decode()) is random


def test_two_uses_of_one_key_are_a_problem_and_two_missing_ones_are_none() -> None:
    env = Env({})
    env.differ(ONE="a", TWO="b", THREE="", FOUR="")
    assert env.problems == []
    env.differ(ONE="a", TWO="a")
    assert env.problems == ["TWO is the same as ONE: make a key for each."]
