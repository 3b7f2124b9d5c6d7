"""Public holidays as a jurisdiction has them."""

from __future__ import annotations

from datetime import date

import pytest

from practice.people_and_places.public_holidays import public_holiday, public_holidays


@pytest.mark.parametrize(
    ("jurisdiction", "day", "name"),
    [
        ("US-PA", date(2026, 1, 1), "New Year's Day"),  # 5 U.S.C. 6103
        ("US-PA", date(2026, 11, 26), "Thanksgiving Day"),
        ("US-PA", date(2026, 7, 3), "Independence Day (observed)"),  # the Fourth is a Saturday
        ("US-PA", date(2026, 3, 31), None),
        ("US-CA", date(2026, 3, 31), "Cesar Chavez Day"),  # California alone
        ("CA-ON", date(2026, 7, 1), "Canada Day"),
        ("DE-BY", date(2026, 1, 6), "Epiphany"),  # Bavaria, not Berlin
        ("DE-BE", date(2026, 1, 6), None),
    ],
)
def test_a_holiday_is_named_where_it_is_one(jurisdiction: str, day: date, name: str | None) -> None:
    found = public_holiday(jurisdiction, day)
    assert found == name or (name is not None and found is not None and name in found)


@pytest.mark.parametrize("jurisdiction", ["", "ZZ", "ZZ-1"])
def test_a_country_that_is_not_known_has_none(jurisdiction: str) -> None:
    assert public_holidays(jurisdiction, 2026) == {}


def test_a_part_that_is_not_known_has_those_of_its_country() -> None:
    assert public_holiday("US-ZZ", date(2026, 12, 25)) == "Christmas Day"


def test_a_year_holds_its_own_days_alone() -> None:
    """New Year's Day of 2028 is a Saturday and is observed on the last day of 2027."""
    assert {day.year for day in public_holidays("US-PA", 2027)} == {2027}
    assert public_holiday("US-PA", date(2027, 12, 31)) == "New Year's Day (observed)"
