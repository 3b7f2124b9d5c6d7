"""Visit summaries of a client's stream in memory."""

from __future__ import annotations

import csv
import io
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from billing.authorizations.domain.projections import AUTHORIZATION_ROWS
from billing.summaries.domain.corrections import Now, corrected_since
from billing.summaries.domain.decisions import (
    ExportSummary,
    make_summary,
    send_summary,
    visits_of,
)
from billing.summaries.domain.document import SummaryDocument, SummaryHeading, VisitCorrection
from billing.summaries.domain.forms import UTF8_MARK, SummaryForm, forms_of
from billing.summaries.domain.rows import RowFacts, SummaryNames, rows_of_visits
from billing.summaries.domain.state import KEPT_SUMMARIES, VISIT_CHANGES, KeptSummaries
from billing.summaries.selectors.export import AMOUNTS
from practice.work.projection_runner import MemoryRows
from tests.billing.streams import Stream, named

NAMES = SummaryNames(
    facilities={named("facility"): "Riverside, north wing"},
    people={
        named("practitioner"): 'Pat "P" Practitioner',
        named("actor"): "Pat\nPractitioner",
    },
    npis={named("practitioner"): "0234567893"},
    zones={named("facility"): ZoneInfo("America/New_York")},
    codes={"S": "stretching, 15 minutes", "C": "cardio, 15 minutes", "T": "strength"},
)
PERIOD = (date(2026, 3, 1), date(2026, 5, 31))


def rows_of(stream: Stream, projection: Any) -> dict[Any, dict[str, Any]]:
    rows = MemoryRows(named("client"))
    for one in stream.events:
        projection.apply(rows, one)
    return rows.rows


def folded(stream: Stream, slice_: Any) -> Any:
    builder = slice_.initial()
    for one in stream.events:
        slice_.apply(builder, one)
    return slice_.freeze(builder)


def now_of(stream: Stream, names: SummaryNames = NAMES) -> Now:
    """What is true of the authorization's visits now."""
    visits = visits_of(stream.authorization_balance, named("authorization"), date.min, date.max)
    return Now(
        rows_of_visits(visits, facts_of(stream, names)),
        folded(stream, VISIT_CHANGES),
        "America/New_York",
    )


def facts_of(stream: Stream, names: SummaryNames = NAMES) -> RowFacts:
    row = rows_of(stream, AUTHORIZATION_ROWS)[named("authorization")]
    return RowFacts(names, stream.payers, row["last_day"])


def summary(
    stream: Stream,
    name: str = "summary",
    period: tuple[date, date] = PERIOD,
    names: SummaryNames = NAMES,
    **heading: Any,
) -> SummaryDocument:
    """The summary of the stream's authorization as it would be sent now."""
    balance = stream.authorization_balance
    terms = balance.authorizations[named("authorization")].terms
    row = rows_of(stream, AUTHORIZATION_ROWS)[named("authorization")]
    standard: dict[str, Any] = {
        "summary_id": named(name),
        "exported_on": date(2026, 6, 1),
        "practice": "Harbour Recovery",
        "client": "Ada Client",
        "birth_date": date(1961, 7, 4),
        "payer": "Payer",
        "authorization_number": terms.number,
        "member_id": terms.member_id,
        "authorized_from": terms.starts_on,
        "authorized_until": terms.ends_on,
        "ended_on": None,
        "diagnoses": terms.diagnoses,
        "period_start": period[0],
        "period_end": period[1],
    }
    return make_summary(
        SummaryHeading(**{**standard, **heading}),
        visits_of(balance, named("authorization"), *period),
        {amount: row[amount] for amount in AMOUNTS},
        folded(stream, KEPT_SUMMARIES),
        now_of(stream, names),
    )


def send(stream: Stream, name: str, period: tuple[date, date] = PERIOD) -> SummaryDocument:
    """Send it, and keep it on the stream."""
    document = summary(stream, name, period)
    command = ExportSummary(recipient="claims", purpose="review")
    stream.add(*send_summary(document, named("authorization"), named("payer"), command))
    return document


def corrected(
    stream: Stream, name: str, names: SummaryNames = NAMES
) -> tuple[VisitCorrection, ...]:
    """The visits that were corrected since a summary was sent."""
    kept: KeptSummaries = folded(stream, KEPT_SUMMARIES)
    return corrected_since(kept[named(name)], now_of(stream, names))


def read_csv(document: SummaryDocument, form: SummaryForm) -> list[dict[str, str]]:
    """A form of CSV, read back by Python's csv module in its strict way."""
    text = forms_of(document)[form].removeprefix(UTF8_MARK)
    rows = list(csv.DictReader(io.StringIO(text, newline=""), strict=True))
    assert all(None not in row and None not in row.values() for row in rows)
    return rows
