"""The authorized visit summary as rows of cells (RFC 4180). Pure.

One rectangular table, so that any reader of CSV takes it: a heading, one row for the
authorization, one row a visit, one row for each service code used, one row of totals;
``record`` says which it is. Each service code of the practice has a column of units.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, tzinfo
from typing import Any

from billing.authorizations.domain.terms import UNCOVERED_REASON_TEXT, UncoveredReason
from billing.summaries.domain.csv_cells import cell
from practice.core.terms import SessionPart

MINUTE_COLUMNS = {part.value: f"minutes_{part.value}" for part in SessionPart}
"""The column of each part's minutes."""
WAITING = "waits for a choice"
"""Said in place of covered while units of a visit wait for a person's choice."""
SUMMED_COLUMNS = (
    *MINUTE_COLUMNS.values(),
    "timed_minutes",
    "used_minutes",
    "units",
    "units_awaiting_override",
)
COLUMNS_BEFORE_CODES = (
    "record",
    "practice",
    "exported_on",
    "client",
    "birth_date",
    "diagnoses",
    "payer",
    "authorization_number",
    "member_id",
    "authorized_from",
    "authorized_until",
    "ended_on",
    "period_start",
    "period_end",
    "date",
    "facility",
    "discipline",
    "practitioner",
    "credential",
    "npi",
    *MINUTE_COLUMNS.values(),
    "timed_minutes",
    "used_minutes",
)
COLUMNS_AFTER_CODES = (
    "units",
    "units_awaiting_override",
    "covered",
    "reasons",
    "used_after_end",
    "signed_at",
    "signed_by",
    "visits_authorized",
    "visits_used",
    "visits_left",
    "units_authorized",
    "units_used",
    "units_reserved",
    "units_left",
    "minutes_authorized",
    "minutes_used",
    "minutes_reserved",
    "minutes_left",
    "service_code",
    "description",
)


@dataclass(frozen=True)
class SummaryHeading:
    """What stands above the visits: whose authorization, of which payer, over which days.

    Diagnoses are ICD-10-CM codes, empty where none are recorded or the reader may not read
    them; ``exported_on`` is the day of the disclosure on the practice's clock.
    """

    practice: str
    exported_on: date
    client: str
    birth_date: date | None
    payer: str
    authorization: Mapping[str, Any]
    diagnoses: tuple[str, ...]
    starts_on: date
    ends_on: date


@dataclass(frozen=True)
class SummaryNames:
    """Names of facilities and of people, practitioners' NPIs, facilities' zones, by id as text:
    a row of the read table has it so. ``codes`` has the practice's description of each
    service code."""

    facilities: Mapping[str, str] = field(default_factory=dict)
    people: Mapping[str, str] = field(default_factory=dict)
    npis: Mapping[str, str] = field(default_factory=dict)
    zones: Mapping[str, tzinfo] = field(default_factory=dict)
    codes: Mapping[str, str] = field(default_factory=dict)


def column_of(code: str) -> str:
    """The column of units of a service code: text in front, so that it is no formula."""
    return f"units_{code}"


def summary_columns(codes: Iterable[str]) -> tuple[str, ...]:
    """The heading of a file, with a column for each service code, in their order."""
    return (
        *COLUMNS_BEFORE_CODES,
        *(column_of(code) for code in sorted(codes)),
        *COLUMNS_AFTER_CODES,
    )


def summary_rows(
    heading: SummaryHeading, visits: Iterable[Mapping[str, Any]], names: SummaryNames
) -> Iterator[list[str]]:
    """The rows of the file, one after the other; ``visits`` are rows of the read table.

    Of all visits together only their sums are kept: one number for each column, one day
    for each visit counted.
    """
    shown = summary_columns(names.codes)
    yield list(shown)
    yield _row(shown, _heading(heading))
    last_day = heading.authorization["last_day"]
    totals: Counter[str] = Counter()
    used: Counter[str] = Counter()
    days: set[str] = set()
    for visit in visits:
        made = _visit(visit, names, last_day)
        totals.update({name: made[name] for name in SUMMED_COLUMNS})
        used.update(visit["used_units"])
        days.update(visit["counts_as"])
        yield _row(shown, made)
    for code, units in sorted(used.items()):
        about = {"service_code": code, "description": names.codes.get(code, "")}
        yield _row(shown, {"record": "service_code", **about, "units": units})
    total = {"record": "total", **totals, **_by_code(used, names.codes)}
    yield _row(shown, {**total, "visits_used": len(days)})


def _row(shown: Iterable[str], values: Mapping[str, Any]) -> list[str]:
    return [cell(values.get(column)) for column in shown]


AMOUNTS = (
    *(f"visits_{one}" for one in ("authorized", "used", "left")),
    *(f"units_{one}" for one in ("authorized", "used", "reserved", "left")),
    *(f"minutes_{one}" for one in ("authorized", "used", "reserved", "left")),
)


def _heading(heading: SummaryHeading) -> dict[str, Any]:
    authorization = heading.authorization
    return {
        "record": "authorization",
        "practice": heading.practice,
        "exported_on": heading.exported_on,
        "client": heading.client,
        "birth_date": heading.birth_date,
        "diagnoses": "; ".join(heading.diagnoses),
        "payer": heading.payer,
        "authorization_number": authorization["number"],
        "member_id": authorization["member_id"],
        "authorized_from": authorization["starts_on"],
        "authorized_until": authorization["ends_on"],
        "ended_on": authorization["ended_on"],
        "period_start": heading.starts_on,
        "period_end": heading.ends_on,
        **{name: authorization[name] for name in AMOUNTS},
    }


def _visit(visit: Mapping[str, Any], names: SummaryNames, last_day: date) -> dict[str, Any]:
    sessions = visit["sessions"]
    minutes = dict.fromkeys(MINUTE_COLUMNS.values(), 0)
    for session in sessions:
        for given in session["minutes"]:
            minutes[MINUTE_COLUMNS[given["part"]]] += given["minutes"]
    holds = bool(visit["used_units"] or visit["undecided"])
    return {
        "record": "visit",
        "date": visit["local_date"],
        "discipline": _words(visit["discipline"]),
        "facility": _each(names.facilities, sessions, "facility_id"),
        "practitioner": _each(names.people, sessions, "practitioner_id"),
        "npi": _each(names.npis, sessions, "practitioner_id"),
        "credential": _distinct(_words(session["credential"]) for session in sessions),
        **minutes,
        "timed_minutes": visit["timed_minutes"],
        "used_minutes": visit["used_minutes"],
        **_by_code(visit["used_units"], names.codes),
        "units": visit["used_units_total"],
        "units_awaiting_override": visit["undecided"]["units"] if visit["undecided"] else 0,
        "covered": WAITING if visit["undecided"] else _words(visit["covered"]),
        "reasons": " ".join(
            UNCOVERED_REASON_TEXT[UncoveredReason(uncovered_reason)]
            for uncovered_reason in visit["uncovered_reasons"]
        ),
        "used_after_end": "yes" if holds and visit["local_date"] > last_day else "",
        "signed_at": _distinct(_signed(session, names) for session in sessions),
        "signed_by": _each(names.people, sessions, "signed_by"),
    }


def _by_code(used_units: Mapping[str, int], codes: Iterable[str]) -> dict[str, int]:
    return {column_of(code): used_units.get(code, 0) for code in codes}


def _signed(session: Mapping[str, Any], names: SummaryNames) -> str:
    """When it was signed, on the facility's clock, to the second, with its offset."""
    zone = names.zones.get(session["facility_id"], UTC)
    at = datetime.fromisoformat(session["signed_at"])
    return at.astimezone(zone).isoformat(timespec="seconds")


def _words(value: str) -> str:
    return value.replace("_", " ")


def _each(names: Mapping[str, str], sessions: Iterable[Mapping[str, Any]], key: str) -> str:
    return _distinct(names.get(session[key], "") for session in sessions)


def _distinct(words: Iterable[str]) -> str:
    """Words in their order, each once."""
    return "; ".join(dict.fromkeys(word for word in words if word))
