"""The authorized visit summary as rows of cells (RFC 4180). Pure.

One rectangular table, so that any reader of CSV takes it: a heading, one row for the
authorization, one row a visit, one row of totals; ``record`` says which it is.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from billing.domain.csvcells import cell
from billing.domain.terms import GAP_TEXT, Gap
from practice.domain.terms import Part

MINUTES = {part.value: f"minutes_{part.value}" for part in Part}
"""The column of each part's minutes."""
SUMMED = (*MINUTES.values(), "units", "units_waiting_for_a_choice")
COLUMNS = (
    "record",
    "client",
    "payer",
    "authorization_number",
    "member_id",
    "period_start",
    "period_end",
    "date",
    "facility",
    "discipline",
    "practitioner",
    "credential",
    "npi",
    *MINUTES.values(),
    "service_codes_and_units",
    "units",
    "units_waiting_for_a_choice",
    "covered",
    "reasons",
    "signed_at",
    "signed_by",
    "visits_authorized",
    "visits_used",
    "visits_left",
    "units_authorized",
    "units_used",
    "units_left",
    "minutes_authorized",
    "minutes_used",
    "minutes_left",
)


@dataclass(frozen=True)
class Heading:
    """What stands above the visits: whose authorization, of which payer, over which days."""

    client: str
    payer: str
    authorization: Mapping[str, Any]
    starts_on: date
    ends_on: date


@dataclass(frozen=True)
class Names:
    """Names of facilities and of people, and practitioners' NPIs, by id as text: a row of the
    read table has it so."""

    facilities: Mapping[str, str] = field(default_factory=dict)
    people: Mapping[str, str] = field(default_factory=dict)
    npis: Mapping[str, str] = field(default_factory=dict)


AMOUNTS = ("authorized", "used", "left")


def summary_rows(
    heading: Heading, visits: Iterable[Mapping[str, Any]], names: Names
) -> Iterator[list[str]]:
    """The rows of the file, one after the other; ``visits`` are rows of the read table."""
    yield list(COLUMNS)
    yield _row(_heading(heading))
    totals: Counter[str] = Counter()
    days: set[str] = set()
    for visit in visits:
        made = _visit(visit, names)
        for name in SUMMED:
            totals[name] += made[name]
        days.update(visit["counts_as"])
        yield _row(made)
    yield _row({"record": "total", **totals, "visits_used": len(days)})


def _row(values: Mapping[str, Any]) -> list[str]:
    return [cell(values.get(column)) for column in COLUMNS]


def _heading(heading: Heading) -> dict[str, Any]:
    authorization = heading.authorization
    amounts = {
        f"{what}_{amount}": authorization[f"{what}_{amount}"]
        for what in ("visits", "units", "minutes")
        for amount in AMOUNTS
    }
    return {
        "record": "authorization",
        "client": heading.client,
        "payer": heading.payer,
        "authorization_number": authorization["number"],
        "member_id": authorization["member_id"],
        "period_start": heading.starts_on,
        "period_end": heading.ends_on,
        "units_waiting_for_a_choice": authorization["units_reserved"],
        **amounts,
    }


def _visit(visit: Mapping[str, Any], names: Names) -> dict[str, Any]:
    sessions = visit["sessions"]
    minutes = dict.fromkeys(MINUTES.values(), 0)
    for session in sessions:
        for given in session["minutes"]:
            minutes[MINUTES[given["part"]]] += given["minutes"]
    return {
        "record": "visit",
        "date": visit["local_date"],
        "discipline": visit["discipline"],
        "facility": _each(names.facilities, sessions, "facility_id"),
        "practitioner": _each(names.people, sessions, "practitioner_id"),
        "npi": _each(names.npis, sessions, "practitioner_id"),
        "credential": _distinct(session["credential"] for session in sessions),
        **minutes,
        "service_codes_and_units": "; ".join(
            f"{code}: {units}" for code, units in sorted(visit["drawn"].items())
        ),
        "units": visit["units_drawn"],
        "units_waiting_for_a_choice": visit["open"]["units"] if visit["open"] else 0,
        "covered": visit["covered"],
        "reasons": " ".join(GAP_TEXT[Gap(gap)] for gap in visit["gaps"]),
        "signed_at": _distinct(session["signed_at"] for session in sessions),
        "signed_by": _each(names.people, sessions, "signed_by"),
    }


def _each(names: Mapping[str, str], sessions: Iterable[Mapping[str, Any]], key: str) -> str:
    return _distinct(names.get(session[key], "") for session in sessions)


def _distinct(words: Iterable[str]) -> str:
    """Words in their order, each once."""
    return "; ".join(dict.fromkeys(word for word in words if word))
