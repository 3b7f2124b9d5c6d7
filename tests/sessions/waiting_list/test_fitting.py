"""Whom a free time suits: each wish at its bound, on both sides. Pure."""

from __future__ import annotations

from datetime import date, datetime
from types import SimpleNamespace
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from sessions.waiting_list.domain.fitting import known_there, suits

ZONE = "America/New_York"
EAST, WEST = UUID(int=1), UUID(int=2)
TUESDAY = datetime(2026, 3, 17, 10, 0, tzinfo=ZoneInfo(ZONE))


def wanted(**wishes: Any) -> Any:
    anything = {
        "minutes": 60,
        "facility_ids": [],
        "weekdays": [],
        "earliest": None,
        "latest": None,
        "first_day": None,
        "last_day": None,
    }
    return SimpleNamespace(**{**anything, **wishes})


@pytest.mark.parametrize(
    ("wishes", "fits"),
    [
        ({}, True),
        ({"minutes": 61}, False),
        ({"minutes": 45}, True),
        ({"weekdays": [2, 4]}, True),
        ({"weekdays": [1, 3]}, False),
        ({"facility_ids": [str(EAST)]}, True),
        ({"facility_ids": [str(WEST)]}, False),
        ({"earliest": 10 * 60}, True),
        ({"earliest": 10 * 60 + 1}, False),
        ({"latest": 11 * 60}, True),
        ({"latest": 11 * 60 - 1}, False),
        ({"first_day": date(2026, 3, 17)}, True),
        ({"first_day": date(2026, 3, 18)}, False),
        ({"last_day": date(2026, 3, 17)}, True),
        ({"last_day": date(2026, 3, 16)}, False),
    ],
)
def test_a_free_time_suits_who_can_come_then(wishes: dict[str, Any], fits: bool) -> None:
    assert suits(wanted(**wishes), TUESDAY, 60, ZONE, EAST) is fits


def test_the_clock_is_that_of_the_place_of_the_free_time() -> None:
    """Ten in New York is seven in Los Angeles."""
    morning = wanted(earliest=9 * 60)
    assert suits(morning, TUESDAY, 60, ZONE, EAST)
    assert not suits(morning, TUESDAY, 60, "America/Los_Angeles", WEST)


def test_a_session_over_midnight_is_not_over_by_a_time_of_the_evening() -> None:
    late = TUESDAY.replace(hour=23, minute=30)
    assert not suits(wanted(latest=23 * 60 + 45), late, 60, ZONE, EAST)
    assert suits(wanted(), late, 60, ZONE, EAST)


def test_the_hour_that_the_clocks_leave_out_is_not_in_the_way() -> None:
    """A session over the change ends on the clock an hour later than its length says."""
    night = datetime(2026, 3, 8, 1, 30, tzinfo=ZoneInfo(ZONE))
    assert suits(wanted(latest=3 * 60 + 30), night, 60, ZONE, EAST)
    assert not suits(wanted(latest=3 * 60), night, 60, ZONE, EAST)


def test_who_named_no_place_is_asked_where_they_are_known() -> None:
    assert known_there(wanted(), EAST, [str(EAST)])
    assert not known_there(wanted(), EAST, [str(WEST)])
    assert known_there(wanted(facility_ids=[str(EAST)]), EAST, [str(WEST)])
