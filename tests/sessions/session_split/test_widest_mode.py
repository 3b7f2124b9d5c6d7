"""Which mode the split of a session follows: what was planned, after the arrival what holds."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from practice.core.terms import Mode
from sessions.session_split.selectors.facts import _widest_mode

HANDS_ON, SELF_DIRECTED, NOT_TODAY = Mode.HANDS_ON, Mode.SELF_DIRECTED, Mode.NOT_TODAY


@pytest.mark.parametrize(
    ("arrived", "requested", "now", "widest"),
    [
        (False, None, HANDS_ON, SELF_DIRECTED),
        (False, None, NOT_TODAY, NOT_TODAY),
        (True, None, HANDS_ON, HANDS_ON),
        (True, SELF_DIRECTED, HANDS_ON, SELF_DIRECTED),
        (True, HANDS_ON, SELF_DIRECTED, SELF_DIRECTED),
        (True, HANDS_ON, NOT_TODAY, NOT_TODAY),
    ],
)
def test_after_the_arrival_the_split_follows_what_holds_now(
    arrived: bool, requested: Mode | None, now: Mode, widest: Mode
) -> None:
    """A walk-in planned as self-directed that may be hands-on by its answers is split as such."""
    session: Any = SimpleNamespace(
        answers=object() if arrived else None, requested_mode=requested, mode=SELF_DIRECTED
    )
    case: Any = SimpleNamespace(planned=lambda: SimpleNamespace(mode=HANDS_ON))
    evaluated: Any = SimpleNamespace(mode=now)
    assert _widest_mode(session, case, evaluated) is widest
