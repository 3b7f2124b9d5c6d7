"""The visit summary as CSV: parsed back by the csv module, safe in a spreadsheet."""

from __future__ import annotations

import csv
import io
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

import msgspec
import pytest

from billing.authorizations.domain.events import AuthorizationEnded
from billing.authorizations.domain.projections import AUTHORIZATION_ROWS, VISIT_ROWS
from billing.summaries.domain.csv_cells import cell
from billing.summaries.domain.table import (
    SummaryHeading,
    SummaryNames,
    summary_columns,
    summary_rows,
)
from practice.work.projection_runner import MemoryRows
from tests.billing.streams import CARDIO, DAY, STRETCHING, TALK, Stream, named


def rows_of(stream: Stream, projection: Any) -> dict[Any, dict[str, Any]]:
    rows = MemoryRows(named("client"))
    for one in stream.events:
        projection.apply(rows, one)
    return rows.rows


def summary(stream: Stream, names: SummaryNames, client: str = "Ada Client") -> list[list[str]]:
    (authorization,) = rows_of(stream, AUTHORIZATION_ROWS).values()
    heading = SummaryHeading(
        practice="Harbour Recovery",
        exported_on=date(2026, 6, 1),
        client=client,
        birth_date=date(1961, 7, 4),
        payer="Payer",
        authorization=authorization,
        diagnoses=tuple(authorization["diagnoses"]),
        starts_on=date(2026, 3, 1),
        ends_on=date(2026, 5, 31),
    )
    visits = rows_of(stream, VISIT_ROWS).values()
    ordered = sorted(visits, key=lambda one: one["local_date"])
    file = io.StringIO(newline="")
    csv.writer(file).writerows(summary_rows(heading, ordered, names))
    return list(csv.reader(io.StringIO(file.getvalue(), newline=""), strict=True))


NAMES = SummaryNames(
    facilities={str(named("facility")): "Riverside, north wing"},
    people={
        str(named("practitioner")): 'Pat "P" Practitioner',
        str(named("actor")): "Pat\nPractitioner",
    },
    npis={str(named("practitioner")): "1234567893"},
    zones={str(named("facility")): ZoneInfo("America/New_York")},
    codes={"S": "stretching, 15 minutes", "C": "cardio, 15 minutes", "T": "strength"},
)
COLUMNS = summary_columns(NAMES.codes)


def shown(rows: list[list[str]]) -> list[dict[str, str]]:
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]


def test_every_row_has_every_column_and_values_come_back_as_they_were() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 33, CARDIO: 7, TALK: 5})
    heading, authorization, visit, *codes, total = summary(stream, NAMES)
    assert heading == list(COLUMNS)
    assert {len(row) for row in (authorization, visit, *codes, total)} == {len(COLUMNS)}
    first = dict(zip(COLUMNS, authorization, strict=True))
    assert first["record"] == "authorization"
    assert (first["visits_authorized"], first["visits_used"], first["visits_left"]) == (
        "10",
        "1",
        "9",
    )
    assert (first["units_authorized"], first["units_used"], first["units_left"]) == (
        "20",
        "3",
        "17",
    )
    shown = dict(zip(COLUMNS, visit, strict=True))
    assert shown["date"] == "2026-03-02"
    assert shown["facility"] == "Riverside, north wing"
    assert shown["practitioner"] == 'Pat "P" Practitioner'
    assert shown["signed_by"] == "Pat\nPractitioner"
    assert shown["npi"] == "1234567893"
    assert (shown["minutes_stretching"], shown["minutes_measuring_and_talk"]) == ("33", "5")
    assert (shown["units_C"], shown["units_S"], shown["units_T"]) == ("1", "2", "0")
    assert (shown["timed_minutes"], shown["used_minutes"]) == ("40", "40")
    assert (shown["credential"], shown["discipline"]) == (
        "physical therapist",
        "physical therapy",
    )
    assert shown["signed_at"] == "2026-03-01T07:02:00-05:00"
    assert shown["covered"] == "covered"


def test_the_totals_are_the_sums_of_the_visits() -> None:
    stream = Stream()
    stream.authorize(visits=1)
    stream.sign({STRETCHING: 30}, note="one")
    stream.sign({STRETCHING: 15}, note="two", day=date(2026, 3, 9))
    *_, one, two, _code, total = summary(stream, NAMES)
    shown = [dict(zip(COLUMNS, row, strict=True)) for row in (one, two, total)]
    assert [row["units"] for row in shown] == ["2", "0", "2"]
    assert [row["minutes_stretching"] for row in shown] == ["30", "15", "45"]
    assert shown[1]["reasons"] == "No authorized visit was left."
    assert shown[2]["visits_used"] == "1"


@pytest.mark.parametrize(
    "text",
    [
        "=1+1",
        "+1",
        "-2+3",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        "\n=1",
        "  =1",
        "\u00a0=1",
        "＝1",
        '=HYPERLINK("http://example.com","x")',
    ],
)
def test_text_that_a_spreadsheet_would_evaluate_is_shown_as_text(text: str) -> None:
    assert cell(text) == f"'{text}"
    stream = Stream()
    stream.authorize(number=text)
    _, authorization, _ = summary(stream, NAMES, client=text)
    assert {"'" + text} == {authorization[3], authorization[7]}
    dangerous = ("=", "+", "-", "@", "\t", "\r", "\n", "＝")
    assert not [one for one in authorization if one.lstrip(" \u00a0").startswith(dangerous)]


def test_the_authorization_names_what_a_payer_needs_to_know_it_by() -> None:
    stream = Stream()
    stream.authorize(diagnoses=("M25.611", "Z90.11"))
    stream.sign({STRETCHING: 20, CARDIO: 20})
    first = shown(summary(stream, NAMES))[0]
    assert (first["practice"], first["exported_on"]) == ("Harbour Recovery", "2026-06-01")
    assert (first["client"], first["birth_date"]) == ("Ada Client", "1961-07-04")
    assert first["diagnoses"] == "M25.611; Z90.11"
    assert (first["authorized_from"], first["authorized_until"], first["ended_on"]) == (
        "2026-03-01",
        "2026-05-31",
        "",
    )
    parts = [int(first[f"units_{one}"]) for one in ("used", "reserved", "left")]
    assert (parts, sum(parts)) == ([2, 1, 17], int(first["units_authorized"]))


def test_a_visit_whose_units_wait_for_a_choice_is_not_called_covered() -> None:
    """Ruling 61."""
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20, CARDIO: 20}, note="waits")
    stream.sign({STRETCHING: 30}, note="sure", day=date(2026, 3, 9))
    _, waits, sure, *_ = shown(summary(stream, NAMES))
    assert (waits["covered"], sure["covered"]) == ("waits for a choice", "covered")


def test_reserved_minutes_add_up_too() -> None:
    stream = Stream()
    stream.authorize(minutes=60)
    stream.sign({STRETCHING: 20, CARDIO: 20})
    first = shown(summary(stream, NAMES))[0]
    parts = [int(first[f"minutes_{one}"]) for one in ("used", "reserved", "left")]
    assert (parts, sum(parts)) == ([30, 10, 20], int(first["minutes_authorized"]))


def test_the_last_day_is_the_real_one_and_visits_after_it_are_marked() -> None:
    stream = Stream()
    authorization = stream.authorize()
    stream.sign({STRETCHING: 30}, note="one")
    stream.sign({STRETCHING: 15}, note="two", day=date(2026, 3, 9))
    ended = AuthorizationEnded(authorization_id=authorization, ends_on=DAY, reason="moved")
    stream.add(ended)
    stream.sign({STRETCHING: 15}, note="three", day=date(2026, 3, 16))
    first, one, two, three, _, _ = shown(summary(stream, NAMES))
    assert (first["ended_on"], first["authorized_until"]) == ("2026-03-02", "2026-05-31")
    assert [row["used_after_end"] for row in (one, two, three)] == ["", "yes", ""]
    assert [row["covered"] for row in (one, two, three)] == ["covered", "covered", "not covered"]


def test_each_code_used_is_described_once() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 33, CARDIO: 7}, note="one")
    stream.sign({STRETCHING: 15}, note="two", day=date(2026, 3, 9))
    rows = shown(summary(stream, NAMES))
    codes = [row for row in rows if row["record"] == "service_code"]
    assert [(row["service_code"], row["description"], row["units"]) for row in codes] == [
        ("C", "cardio, 15 minutes", "1"),
        ("S", "stretching, 15 minutes", "3"),
    ]
    assert (rows[-1]["units_S"], rows[-1]["units_C"], rows[-1]["units_T"]) == ("3", "1", "0")


def test_numbers_below_zero_stay_numbers() -> None:
    assert cell(-2) == "-2"


def test_a_missing_value_is_an_empty_cell() -> None:
    assert cell(None) == ""


def test_the_read_table_counts_what_the_slice_counts() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20, CARDIO: 20}, note="one")
    stream.sign({STRETCHING: 20}, note="two")
    stream.correct("one", {STRETCHING: 5})
    (row,) = rows_of(stream, AUTHORIZATION_ROWS).values()
    assert (
        row["visits_used"],
        row["units_used"],
        row["units_reserved"],
        row["minutes_used"],
    ) == stream.used()
    assert (row["visits_left"], row["units_left"]) == (9, 18)
    (visit,) = rows_of(stream, VISIT_ROWS).values()
    sessions = msgspec.json.encode(stream.visit_of("one").sessions)
    assert visit["sessions"] == msgspec.json.decode(sessions)
    assert visit["local_date"] == DAY


def test_reserved_units_are_not_left() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20, CARDIO: 20})
    (row,) = rows_of(stream, AUTHORIZATION_ROWS).values()
    assert (row["units_used"], row["units_reserved"], row["units_left"]) == (2, 1, 17)


@pytest.mark.parametrize(("text", "shown"), [("\0=1", "'=1"), ("a\0b", "ab"), ("A-1", "A-1")])
def test_nul_characters_go_and_cannot_hide_a_formula(text: str, shown: str) -> None:
    assert cell(text) == shown
