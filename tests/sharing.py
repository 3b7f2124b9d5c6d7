"""Processes that share the tests of one engine: each takes the next file that nobody took.

``PRACTICE_TEST_TAKEN`` is a folder that they have in common; in it is an empty file for each test
file that one of them took. With ``PRACTICE_TEST_FROM_THE_END=1`` a process begins at the last
file, so that two of them meet in the middle. A file is run by one process, for what its tests
have in common; ``manage.py test`` holds the tests that ran against those that are there.
"""

from __future__ import annotations

import os
from functools import cache
from itertools import groupby
from pathlib import Path

import pytest

from practice.management.test_steps import COLLECTED

TAKEN = os.environ.get("PRACTICE_TEST_TAKEN", "")
FROM_THE_END = os.environ.get("PRACTICE_TEST_FROM_THE_END") == "1"


def shared(items: list[pytest.Item]) -> list[pytest.Item]:
    """The tests in the order of this process."""
    if TAKEN:
        (Path(TAKEN) / COLLECTED).write_text(str(len(items)))
    return from_the_end(items) if FROM_THE_END else items


def from_the_end(items: list[pytest.Item]) -> list[pytest.Item]:
    """The files the other way round, the tests of each in their order.

    What needs committed rows comes behind what is rolled back, as pytest-django has it.
    """
    kinds = [list(kind) for _, kind in groupby(items, _commits)]
    files = [[list(file) for _, file in groupby(kind, lambda item: item.path)] for kind in kinds]
    return [item for kind in files for file in reversed(kind) for item in file]


def _commits(item: pytest.Item) -> bool:
    marker = item.get_closest_marker("django_db")
    return marker is not None and bool(marker.kwargs.get("transaction"))


def mine(item: pytest.Item) -> bool:
    """Whether this process is to run a test."""
    return not TAKEN or _took(item.path.relative_to(item.config.rootpath))


@cache
def _took(file: Path) -> bool:
    """Whether this process is the first to ask for a test file."""
    try:
        (Path(TAKEN) / str(file).replace(os.sep, "-")).touch(exist_ok=False)
    except FileExistsError:
        return False
    return True
