"""Processes that share an engine's tests: each test is run by one of them, none by nobody."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from practice.management.test_steps import (
    COLLECTED,
    SECOND,
    Result,
    Step,
    by_engine,
    left_over,
    sharing,
)
from tests import sharing as tests_sharing


def item(file: str, name: str, root: Path, commits: bool = False) -> Any:
    marker = SimpleNamespace(kwargs={"transaction": True}) if commits else None
    return SimpleNamespace(
        path=root / file,
        name=name,
        config=SimpleNamespace(rootpath=root),
        get_closest_marker=lambda _name: marker,
    )


@pytest.fixture
def _taking(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(tests_sharing, "TAKEN", sharing(SECOND, tmp_path)["PRACTICE_TEST_TAKEN"])
    tests_sharing._took.cache_clear()
    yield
    tests_sharing._took.cache_clear()


@pytest.mark.usefixtures("_taking")
def test_a_file_belongs_to_the_process_that_asked_first(tmp_path: Path) -> None:
    one, same_file = item("a/test_x.py", "one", tmp_path), item("a/test_x.py", "two", tmp_path)
    assert tests_sharing.mine(one)
    assert tests_sharing.mine(same_file)
    tests_sharing._took.cache_clear()  # As another process asks.
    assert not tests_sharing.mine(one)
    assert tests_sharing.mine(item("b/test_x.py", "one", tmp_path))


def test_alone_a_process_runs_everything(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tests_sharing, "TAKEN", "")
    monkeypatch.chdir(tmp_path)
    assert tests_sharing.mine(item("test_x.py", "one", tmp_path))
    assert tests_sharing.mine(item("test_x.py", "one", tmp_path))
    assert list(tmp_path.iterdir()) == []


def test_from_the_end_the_files_are_turned_round_and_what_commits_stays_behind(
    tmp_path: Path,
) -> None:
    rolled_back = [("a", "1"), ("a", "2"), ("b", "1"), ("c", "1")]
    commits = [("b", "2"), ("c", "2"), ("c", "3")]
    items = [item(file, name, tmp_path) for file, name in rolled_back]
    items += [item(file, name, tmp_path, commits=True) for file, name in commits]
    turned = [one.path.name + one.name for one in tests_sharing.from_the_end(items)]
    assert turned == ["c1", "b1", "a1", "a2", "c2", "c3", "b2"]


def result(name: str, passed: int, status: int = 0) -> Result:
    return Result(Step(name, (), {}, Path("x")), status, 1, "", passed, status)


@pytest.mark.parametrize(
    ("first", "second", "failed"),
    [
        (60, 40, []),
        (60, 39, ["100 tests are there, 99 were run"]),
        (60, 41, ["100 tests are there, 101 were run"]),
    ],
)
def test_what_ran_is_held_against_what_is_there(
    tmp_path: Path, first: int, second: int, failed: list[str]
) -> None:
    (tmp_path / "taken").mkdir()
    (tmp_path / "taken" / COLLECTED).write_text("100")
    results = [result("postgresql", first), result(SECOND, second), result("sqlite", 7)]
    found = left_over(results, tmp_path)
    assert [one.output for one in found] == failed
    assert all((one.status, one.failed, one.passed) == (1, 1, 0) for one in found)


def test_where_a_process_failed_it_says_so_itself(tmp_path: Path) -> None:
    assert left_over([result("postgresql", 3), result(SECOND, 0, status=2)], tmp_path) == []
    assert left_over([result("sqlite", 3)], tmp_path) == []


def test_both_processes_count_for_their_engine() -> None:
    tests = [result("sqlite", 1), result("postgresql", 2), result(SECOND, 3)]
    found = by_engine(tests)
    assert {name: [one.passed for one in own] for name, own in found.items()} == {
        "sqlite": [1],
        "postgresql": [2, 3],
    }


def test_two_processes_of_an_engine_have_databases_of_their_own(tmp_path: Path) -> None:
    first, second = sharing("postgresql", tmp_path), sharing(SECOND, tmp_path)
    assert first["PRACTICE_TEST_TAKEN"] == second["PRACTICE_TEST_TAKEN"]
    assert "PYTEST_DB_SUFFIX" not in first
    assert second["PYTEST_DB_SUFFIX"] == "2"
