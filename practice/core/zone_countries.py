"""In which countries a time zone is the clock, by the tables of the IANA database. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from functools import lru_cache
from importlib.resources import files

import pycountry


def zone_fits(zone: str, jurisdiction: str) -> bool:
    """Whether a zone (IANA) is a clock of the country of a state or province (ISO 3166-2).

    By country only: no table of the database says which state has which zone.
    """
    return bool(_zones().get(zone, frozenset()) & _countries_of(jurisdiction))


def country_name(jurisdiction: str) -> str:
    """The country of a state or province, as it is called."""
    found = pycountry.countries.get(alpha_2=jurisdiction.partition("-")[0])
    return found.name if found else jurisdiction


def _countries_of(jurisdiction: str) -> set[str]:
    """Its country, and itself where it is on the list of countries too: US-PR is PR."""
    country, _, part = jurisdiction.partition("-")
    own = pycountry.countries.get(alpha_2=part)
    subdivision = pycountry.subdivisions.get(code=jurisdiction)  # type: ignore[no-untyped-call]
    same = own and subdivision and own.name.split(",")[0] in subdivision.name
    return {country, part} if same else {country}


@lru_cache(maxsize=1)
def _zones() -> dict[str, frozenset[str]]:
    """Countries (ISO 3166-1) by zone: of zone.tab and zone1970.tab, other names by their target."""
    found: defaultdict[str, frozenset[str]] = defaultdict(frozenset)
    for table in ("zone.tab", "zone1970.tab"):
        for countries, _place, zone, *_note in _rows(table, "\t"):
            found[zone] |= frozenset(countries.split(","))
    for kind, *names in list(_rows("tzdata.zi", " ")):
        if kind == "L" and names[1] not in found:
            found[names[1]] = found[names[0]]
    return dict(found)


def _rows(name: str, between: str) -> Iterator[list[str]]:
    text = (files("tzdata") / "zoneinfo" / name).read_text(encoding="utf-8")
    return (line.split(between) for line in text.splitlines() if line and not line.startswith("#"))
