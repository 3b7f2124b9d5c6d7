"""What every race here has: work done at one moment, and its guard lifted until it shows."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from practice.core.reasons import Rejected
from tests.builders import Api

ROUNDS = 20


def shown_within_rounds(violated: Callable[[int], bool]) -> None:
    """The control: with the guard lifted the fault shows in one of twenty rounds."""
    if not any(violated(number) for number in range(ROUNDS)):
        pytest.fail(f"nothing went wrong in {ROUNDS} rounds: the race proves nothing")


def broken(results: list[Any]) -> list[Exception]:
    """What ended in anything but success or a refusal."""
    return [one for one in results if isinstance(one, Exception) and not isinstance(one, Rejected)]


def refused(results: list[Any]) -> list[str]:
    """The codes of the refusals; nothing may have ended otherwise than so or in success."""
    assert broken(results) == []
    return [one.code for one in results if isinstance(one, Rejected)]


def quiet(api: Api) -> Api:
    """Requests whose breakdown is an answer of 500, not an exception."""
    api.client.raise_request_exception = False
    return api
