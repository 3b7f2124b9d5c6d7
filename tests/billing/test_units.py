"""The unit rule against the manual's chart and worked examples.

Source: CMS Pub. 100-04, Medicare Claims Processing Manual, ch. 5 section 20.2 C.
Examples 1 to 3 and the answer of example 4 were checked in texts that quote the
manual; the minutes of examples 4 and 5 are also from memory. Codes are letters here: what
matters is the minutes.
"""

from __future__ import annotations

import pytest

from billing.units.domain.units import cms_total_time, units_of_total

CHART = [
    (8, 22, 1),
    (23, 37, 2),
    (38, 52, 3),
    (53, 67, 4),
    (68, 82, 5),
    (83, 97, 6),
    (98, 112, 7),
    (113, 127, 8),
]


@pytest.mark.parametrize(("low", "high", "units"), CHART)
def test_every_total_of_the_manuals_chart_gives_its_units(low: int, high: int, units: int) -> None:
    assert {units_of_total(total) for total in range(low, high + 1)} == {units}
    assert units_of_total(low - 1) == units - 1
    assert units_of_total(high + 1) == units + 1


def test_the_pattern_of_the_chart_goes_on_beyond_two_hours() -> None:
    assert [units_of_total(total) for total in (128, 142, 143, 157)] == [9, 9, 10, 10]


@pytest.mark.parametrize(("minutes", "units"), [(0, 0), (7, 0), (8, 1), (22, 1), (23, 2), (37, 2)])
def test_a_single_service_follows_the_chart(minutes: int, units: int) -> None:
    expected_units = cms_total_time({"A": minutes})
    assert expected_units.units == units
    assert expected_units.sure == ({"A": units} if units else {})


WORKED = [
    pytest.param({"A": 24, "B": 23}, {"A": 2, "B": 1}, id="manual example 1: 24 + 23"),
    pytest.param({"A": 33, "B": 7}, {"A": 2, "B": 1}, id="manual example 3: 33 + 7"),
    pytest.param(
        {"A": 18, "B": 13, "C": 10, "D": 8}, {"A": 1, "B": 1, "C": 1}, id="manual example 4: 49 min"
    ),
    pytest.param({"A": 7, "B": 6}, {"A": 1}, id="two of 7 or less, 8 or more in all: the longer"),
    pytest.param({"A": 3, "B": 5, "C": 6}, {"C": 1}, id="three of 7 or less: the longest"),
    pytest.param({"A": 4, "B": 3}, {}, id="7 minutes in all: no unit"),
    pytest.param({"A": 15, "B": 7}, {"A": 1}, id="22 in all: one unit, 15 minutes earn it"),
    pytest.param({"A": 30, "B": 30}, {"A": 2, "B": 2}, id="30 minutes earn at least two"),
]


@pytest.mark.parametrize(("minutes", "units"), WORKED)
def test_worked_examples_without_a_choice(minutes: dict[str, int], units: dict[str, int]) -> None:
    expected_units = cms_total_time(minutes)
    assert (expected_units.sure, expected_units.undecided_units, expected_units.candidates) == (
        units,
        0,
        (),
    )


def test_manual_example_2_twenty_and_twenty_leaves_the_third_unit_to_a_person() -> None:
    expected_units = cms_total_time({"A": 20, "B": 20})
    assert (expected_units.sure, expected_units.undecided_units, expected_units.candidates) == (
        {"A": 1, "B": 1},
        1,
        ("A", "B"),
    )


def test_manual_example_5_three_times_seven_is_one_unit_of_a_code_a_person_selects() -> None:
    expected_units = cms_total_time({"A": 7, "B": 7, "C": 7})
    assert (expected_units.sure, expected_units.undecided_units, expected_units.candidates) == (
        {},
        1,
        ("A", "B", "C"),
    )


def test_three_times_ten_minutes_are_two_units_where_each_code_alone_would_earn_one() -> None:
    """Each code by its own midpoint (AAFP FPM, 25 Oct 2019, on the CPT time rule) gives 3."""
    expected_units = cms_total_time({"A": 10, "B": 10, "C": 10})
    assert (expected_units.units, expected_units.undecided_units, expected_units.candidates) == (
        2,
        2,
        ("A", "B", "C"),
    )


def test_untimed_codes_count_once_each_outside_the_timed_total() -> None:
    expected_units = cms_total_time({"A": 23}, ["E", "F"])
    assert expected_units.sure == {"A": 2, "E": 1, "F": 1}
    assert expected_units.timed_minutes == 23


def test_an_untimed_code_is_earned_without_any_timed_minutes() -> None:
    assert cms_total_time({}, ["E"]).sure == {"E": 1}
