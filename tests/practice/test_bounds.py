"""Bounds of a setting: each bound itself is allowed, what lies beyond it is not."""

from __future__ import annotations

from typing import Any

import pytest

from practice.core.reasons import Rejected
from practice.policy.domain.bounds import default_minimum, numbers_in, out_of_bounds_text
from practice.policy.services import _check_kind


def wrong(value: Any, shipped: Any = None) -> bool:
    found = out_of_bounds_text(value, minimum=4, maximum=52, unit="weeks", shipped=shipped)
    return found is not None


@pytest.mark.parametrize(
    ("value", "refused"), [(3.9, True), (4, False), (52, False), (52.1, True), (True, False)]
)
def test_a_bound_itself_is_allowed(value: object, refused: bool) -> None:
    assert wrong(value) is refused
    assert wrong({"two": [{"one": value}]}) is refused


def test_numbers_are_found_wherever_they_lie() -> None:
    assert list(numbers_in({"a": [1, {"b": 2.5}], "c": True, "d": "4"})) == [1, 2.5]


@pytest.mark.parametrize(
    ("shipped", "least"), [(0, 0), ([3, 1], 0), ([3, -1], None), ("words", None), (-1, None)]
)
def test_what_ships_without_a_negative_number_takes_none(shipped: object, least: object) -> None:
    assert default_minimum(shipped) == least


@pytest.mark.parametrize(
    ("value", "shipped", "refused"),
    [
        ([6, 5], [4, 6], True),
        ([5, 5], [4, 6], False),
        ([6, 5], [6, 4], False),
        ([], [4, 6], True),
        ([], ["a"], False),
        ({"a": [6, 5]}, {"a": [4, 6]}, True),
        ([[6, 5]], [[4, 6]], True),
        ([7, "a"], [5, "b"], False),
        ([7, True], [5, True], False),
    ],
)
def test_numbers_stay_in_the_order_in_which_they_ship(
    value: object, shipped: object, refused: bool
) -> None:
    assert wrong(value, shipped) is refused


@pytest.mark.parametrize(
    ("before", "value"),
    [
        (True, False),
        (3, 4.5),
        (3.5, 4),
        ("a", "b"),
        ([1], []),
        ({"a": 1}, {}),
    ],
)
def test_a_value_of_the_same_kind_is_taken(before: object, value: object) -> None:
    _check_kind(before, value)


@pytest.mark.parametrize(
    ("before", "value"),
    [
        (True, 1),
        (3, True),
        (3, "4"),
        ("a", 1),
        ("a", None),
        ([1], {}),
        ({"a": 1}, [1]),
    ],
)
def test_a_value_of_another_kind_is_refused(before: object, value: object) -> None:
    with pytest.raises(Rejected) as refusal:
        _check_kind(before, value)
    assert refusal.value.fields.keys() == {"value"}
