"""What a step of the story must show in its answer, beside its status."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import Any

from practice.demo.callers import DemoResponse

Check = Callable[[DemoResponse], bool]


def holds(check: Check, answer: DemoResponse) -> bool:
    """Whether the answer passes; one that lacks what is looked for does not."""
    try:
        return bool(check(answer))
    except (LookupError, TypeError, ValueError, AttributeError):
        return False


def refused(code: str) -> Check:
    """A problem document with this code."""
    return lambda answer: bool(answer["code"] == code and answer["detail"])


def shows(**fields: Any) -> Check:
    """Every named field has this value."""
    return lambda answer: has(answer.body, fields)


def has(found: Mapping[str, Any], wanted: Mapping[str, Any]) -> bool:
    """Whether what was found has every wanted value; an instant counts in any zone."""
    return all(same(found[name], value) for name, value in wanted.items())


def same(found: Any, wanted: Any) -> bool:
    """Equal, or the same instant where a datetime is wanted."""
    return bool(
        datetime.fromisoformat(found) == wanted if isinstance(wanted, datetime) else found == wanted
    )


def lists(rows: list[dict[str, Any]]) -> Check:
    """Among the results stands one for each wanted row, with at least these fields."""
    return lambda answer: all(any(has(one, row) for one in answer["results"]) for row in rows)


def codes(reasons: Iterable[dict[str, Any]]) -> set[str]:
    """The codes of reasons."""
    return {one["code"] for one in reasons}
