"""The visits of an authorization as rows of a summary, one for each visit × service code. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, tzinfo
from typing import Any
from uuid import UUID

from billing.authorizations.domain.events import TreatedSession, VisitCalculated
from billing.authorizations.domain.terms import UNCOVERED_REASON_TEXT, UNDECIDED_REASON_TEXT
from billing.payers.domain.rules import PayerRulesById
from billing.summaries.domain.document import CodeTotal, SummaryRow, SummaryTotals

WAITING = "waits for a choice"
"""Said in place of covered while units of a visit wait for a person's choice."""


@dataclass(frozen=True)
class SummaryNames:
    """Names of facilities and of people, practitioners' NPIs, facilities' zones, by id;
    ``codes`` has the practice's description of each service code."""

    facilities: Mapping[UUID, str] = field(default_factory=dict)
    people: Mapping[UUID, str] = field(default_factory=dict)
    npis: Mapping[UUID, str] = field(default_factory=dict)
    zones: Mapping[UUID, tzinfo] = field(default_factory=dict)
    codes: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class RowFacts:
    """What rows are made by: names, the payers' rules, the authorization's last day."""

    names: SummaryNames
    payers: PayerRulesById
    last_day: date


def rows_of_visits(visits: Iterable[VisitCalculated], facts: RowFacts) -> tuple[SummaryRow, ...]:
    """The rows of some visits by day, discipline and code."""
    ordered = sorted(visits, key=lambda one: (one.local_date, one.discipline, one.visit_id))
    return tuple(row for visit in ordered for row in _rows(visit, facts))


def totals_of(
    rows: Sequence[SummaryRow],
    visits: Sequence[VisitCalculated],
    amounts: Mapping[str, int | None],
) -> SummaryTotals:
    """The sums of rows and of the visits that they are made of; ``amounts`` are those of the
    authorization."""
    minutes: Counter[str] = Counter()
    units: Counter[str] = Counter()
    for row in rows:
        minutes[row.service_code] += row.minutes
        units[row.service_code] += row.units
    descriptions = {row.service_code: row.description for row in rows}
    return SummaryTotals(
        visits=len(visits),
        visits_counted=len({key for visit in visits for key in visit.counts_as}),
        minutes=minutes.total(),
        units=units.total(),
        units_waiting=sum(visit.undecided.units for visit in visits if visit.undecided),
        by_code=tuple(
            CodeTotal(service_code=code, description=text, minutes=minutes[code], units=units[code])
            for code, text in sorted(descriptions.items())
        ),
        authorization=dict(amounts),
    )


def _rows(visit: VisitCalculated, facts: RowFacts) -> Iterator[SummaryRow]:
    minutes = _minutes_by_code(visit, facts.payers)
    waiting = visit.undecided.max_by_code if visit.undecided else {}
    of_visit = _of_visit(visit, facts)
    for code in sorted({*minutes, *visit.used_units, *waiting} or {""}):
        yield SummaryRow(
            **of_visit,
            service_code=code,
            description=facts.names.codes.get(code, ""),
            minutes=minutes[code],
            units=visit.used_units.get(code, 0),
            units_waiting_at_most=waiting.get(code, 0),
        )


def _of_visit(visit: VisitCalculated, facts: RowFacts) -> dict[str, Any]:
    """What each row of a visit says alike."""
    names, sessions = facts.names, visit.sessions
    holds = bool(visit.used_units or visit.undecided)
    facilities = tuple(dict.fromkeys(one.facility_id for one in sessions))
    people = tuple(dict.fromkeys(one.practitioner_id for one in sessions))
    return {
        "visit_id": visit.visit_id,
        "date": visit.local_date,
        "discipline": _words(visit.discipline.value),
        "facility_ids": facilities,
        "facility": _each(names.facilities, facilities),
        "practitioner_ids": people,
        "practitioner": _each(names.people, people),
        "credential": _distinct(_words(one.credential.value) for one in sessions),
        "npi": _each(names.npis, people),
        "covered": WAITING if visit.undecided else _words(visit.covered.value),
        "reasons": " ".join(_reasons(visit)),
        "used_after_end": "yes" if holds and visit.local_date > facts.last_day else "",
        "signed_at": _distinct(_signed(one, names) for one in sessions),
        "signed_by": _each(names.people, (one.signed_by for one in sessions)),
    }


def _reasons(visit: VisitCalculated) -> Iterator[str]:
    """Why it is not covered, and why units of it wait for a choice."""
    for one in visit.uncovered_reasons:
        yield UNCOVERED_REASON_TEXT[one]
    if visit.undecided:
        yield UNDECIDED_REASON_TEXT[visit.undecided.undecided_reason]


def _minutes_by_code(visit: VisitCalculated, payers: PayerRulesById) -> Counter[str]:
    """Noted minutes under the code of their part by the payer's rules of that day."""
    payer = payers.get(visit.payer_id) if visit.payer_id else None
    codes = payer.on(visit.local_date).codes if payer else {}
    minutes: Counter[str] = Counter()
    for session in visit.sessions:
        for one in session.minutes:
            minutes[codes.get((one.part, session.credential), "")] += one.minutes
    return minutes


def _signed(session: TreatedSession, names: SummaryNames) -> str:
    """When it was signed, on the facility's clock, to the second, with its offset."""
    zone = names.zones.get(session.facility_id, UTC)
    return session.signed_at.astimezone(zone).isoformat(timespec="seconds")


def _words(value: str) -> str:
    return value.replace("_", " ")


def _each(names: Mapping[UUID, str], ids: Iterable[UUID]) -> str:
    return _distinct(names.get(one, "") for one in ids)


def _distinct(words: Iterable[str]) -> str:
    """Words in their order, each once."""
    return "; ".join(dict.fromkeys(word for word in words if word))
