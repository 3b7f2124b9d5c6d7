"""The public holidays of a jurisdiction, as the ``holidays`` library knows them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import lru_cache
from types import MappingProxyType

import holidays

NONE: Mapping[date, str] = MappingProxyType({})


def public_holiday(jurisdiction: str, day: date) -> str | None:
    """The English name of a day's public holiday in a jurisdiction (ISO 3166-2, e.g. ``US-PA``);
    None where it is none, or where the library does not know the country."""
    return public_holidays(jurisdiction, day.year).get(day)


@lru_cache(maxsize=512)
def public_holidays(jurisdiction: str, year: int) -> Mapping[date, str]:
    """The public holidays of a year, those that are observed on another day too. Where only the
    country is known, they are the country's."""
    country, _, part = jurisdiction.partition("-")
    if country not in holidays.list_supported_countries():
        return NONE
    known = part in holidays.list_supported_countries()[country]
    language = _english(country)
    found = holidays.country_holidays(
        country, subdiv=part if known else None, years=year, language=language
    )
    return MappingProxyType({day: name for day, name in sorted(found.items()) if day.year == year})


def _english(country: str) -> str | None:
    """The English of a country's names; None: as they are called there."""
    names = holidays.list_localized_countries().get(country, [])
    return next((one for one in names if one.startswith("en")), None)
