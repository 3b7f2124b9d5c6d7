"""In which countries a time zone is the clock (zone tables of the IANA database)."""

from __future__ import annotations

import pytest

from practice.core.zone_countries import country_name, zone_fits


@pytest.mark.parametrize(
    ("zone", "jurisdiction", "fits"),
    [
        ("America/New_York", "US-PA", True),
        ("America/Toronto", "US-PA", False),
        ("America/Toronto", "CA-ON", True),
        ("America/New_York", "CA-ON", False),
        ("US/Pacific", "US-CA", True),
        ("Canada/Eastern", "US-CA", False),
        ("America/Puerto_Rico", "US-PR", True),
        ("America/Panama", "US-PA", False),
        ("Europe/Copenhagen", "DK-84", True),
        ("Europe/Berlin", "DK-84", True),
        ("Europe/Paris", "US-CA", False),
        ("UTC", "US-CA", False),
    ],
)
def test_a_zone_fits_the_country_whose_clock_it_is(
    zone: str, jurisdiction: str, fits: bool
) -> None:
    assert zone_fits(zone, jurisdiction) is fits


def test_every_jurisdiction_of_a_country_is_called_by_it() -> None:
    assert country_name("US-PA") == "United States"
    assert country_name("CA-ON") == "Canada"
