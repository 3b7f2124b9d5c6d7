"""What a setting's value may be: numbers within their bounds, spans in order. Pure.

``least`` and ``most`` are the bounds of every number in the value. ``shipped`` is the
value that the program came with: a list of numbers that ships in ascending order (a
span, a row of intervals) stays in that order, and a list that ships with numbers is
never left without one.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any


def numbers_in(value: Any) -> Iterator[float]:
    """Every number inside a JSON value; true and false are none."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from numbers_in(item)
    elif isinstance(value, list):
        for item in value:
            yield from numbers_in(item)


def default_minimum(shipped: Any) -> float | None:
    """0 where no shipped number is negative; a value without numbers has no bound."""
    found = list(numbers_in(shipped))
    return 0 if found and min(found) >= 0 else None


def out_of_bounds_text(
    value: Any, *, minimum: float | None, maximum: float | None, unit: str, shipped: Any
) -> str | None:
    """What is wrong with a value and what would be right, or None."""
    for number in numbers_in(value):
        if (minimum is not None and number < minimum) or (maximum is not None and number > maximum):
            return f"{number:g} is out of bounds: give {bounds_text(minimum, maximum, unit)}."
    return _disorder(value, shipped)


def bounds_text(minimum: float | None, maximum: float | None, unit: str) -> str:
    """The bounds in words, e.g. ``4 to 52 weeks``."""
    if minimum is not None and maximum is not None:
        text = f"{minimum:g} to {maximum:g}"
    else:
        text = f"at least {minimum:g}" if minimum is not None else f"at most {maximum:g}"
    return f"{text} ({unit})" if unit else text


def _disorder(value: Any, shipped: Any) -> str | None:
    if isinstance(value, dict) and isinstance(shipped, dict):
        found = (_disorder(item, shipped.get(key)) for key, item in value.items())
        return next((text for text in found if text), None)
    if not isinstance(value, list) or not isinstance(shipped, list) or not shipped:
        return None
    if not _numeric(shipped):
        found = (_disorder(item, shipped[0]) for item in value)
        return next((text for text in found if text), None)
    if not value:
        return "Give at least one number."
    if _ascending(shipped) and _numeric(value) and not _ascending(value):
        return f"Give the numbers in ascending order, e.g. {shipped}."
    return None


def _numeric(items: list[Any]) -> bool:
    return all(isinstance(one, int | float) and not isinstance(one, bool) for one in items)


def _ascending(items: list[Any]) -> bool:
    return all(one <= two for one, two in pairwise(items))
