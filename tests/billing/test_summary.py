"""The visit summary: one kind of row in its CSV, parsed back by the csv module; its totals."""

from __future__ import annotations

from datetime import date
from typing import Any

import msgspec
import pytest

from billing.authorizations.domain.events import AuthorizationEnded
from billing.authorizations.domain.projections import AUTHORIZATION_ROWS, VISIT_ROWS
from billing.summaries.domain.forms import (
    COLUMNS,
    IDENTIFIERS,
    UTF8_MARK,
    SummaryForm,
    digests_of,
    forms_of,
    guarded,
)
from tests.billing.streams import CARDIO, DAY, STRETCHING, TALK, TRAINER, Stream
from tests.billing.summary_streams import read_csv, rows_of, summary

PLAIN, SPREADSHEET, JSON = SummaryForm.PLAIN, SummaryForm.SPREADSHEET, SummaryForm.JSON


def test_csv_has_one_row_for_each_visit_and_service_code_and_nothing_else() -> None:
    """Ruling 61."""
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 33, CARDIO: 7, TALK: 5}, note="one")
    stream.sign({STRETCHING: 15}, note="two", day=date(2026, 3, 9))
    rows = read_csv(summary(stream), PLAIN)
    assert [(row["date"], row["service_code"], row["minutes"], row["units"]) for row in rows] == [
        ("2026-03-02", "", "5", "0"),
        ("2026-03-02", "C", "7", "1"),
        ("2026-03-02", "S", "33", "2"),
        ("2026-03-09", "S", "15", "1"),
    ]
    assert len({tuple(row) for row in rows}) == 1


def test_a_summary_of_some_days_shows_their_visits_alone() -> None:
    """Both days of the period included: a payer is sent what it asked for, and no more."""
    stream = Stream()
    stream.authorize()
    days = [date(2026, 3, 1), date(2026, 3, 2), date(2026, 3, 9), date(2026, 3, 10)]
    for day in days:
        stream.sign({STRETCHING: 15}, note=f"note of {day}", day=day)
    document = summary(stream, period=(days[1], days[2]))
    assert [row.date for row in document.rows] == days[1:3]
    assert document.totals.minutes == 30


def test_values_come_back_as_they_were() -> None:
    stream = Stream()
    stream.authorize(diagnoses=("M25.611", "Z90.11"))
    stream.sign({STRETCHING: 33})
    (row,) = read_csv(summary(stream), PLAIN)
    assert tuple(row) == COLUMNS
    assert (row["client"], row["birth_date"]) == ("Ada Client", "1961-07-04")
    assert (row["payer"], row["authorization_number"], row["member_id"]) == ("Payer", "A-1", "M-1")
    assert row["diagnoses"] == "M25.611; Z90.11"
    assert row["facility"] == "Riverside, north wing"
    assert row["practitioner"] == 'Pat "P" Practitioner'
    assert row["signed_by"] == "Pat\nPractitioner"
    assert row["npi"] == "0234567893"
    assert row["description"] == "stretching, 15 minutes"
    assert (row["credential"], row["discipline"]) == ("physical therapist", "physical therapy")
    assert row["signed_at"] == "2026-03-01T07:02:00-05:00"
    assert row["covered"] == "covered"


def test_totals_come_apart_and_are_the_sums_of_the_rows() -> None:
    """Ruling 61."""
    stream = Stream()
    stream.authorize(visits=1)
    stream.sign({STRETCHING: 30, CARDIO: 15, TALK: 5}, note="one")
    stream.sign({STRETCHING: 15}, note="two", day=date(2026, 3, 9))
    document = summary(stream)
    rows, totals = read_csv(document, PLAIN), document.totals
    assert totals.minutes == sum(int(row["minutes"]) for row in rows) == 65
    assert totals.units == sum(int(row["units"]) for row in rows) == 3
    assert (totals.visits, totals.visits_counted, totals.units_waiting) == (2, 1, 0)
    by_code = [(one.service_code, one.minutes, one.units) for one in totals.by_code]
    assert by_code == [("", 5, 0), ("C", 15, 1), ("S", 45, 2)]
    assert rows[-1]["reasons"] == "No authorized visit was left."
    amounts = totals.authorization
    assert (amounts["visits_authorized"], amounts["visits_used"], amounts["visits_left"]) == (
        1,
        1,
        0,
    )
    assert (amounts["units_used"], amounts["units_left"]) == (3, 17)


def test_a_visit_whose_work_has_no_code_and_no_minutes_still_has_a_row() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 30})
    stream.correct("note", {})
    (row,) = read_csv(summary(stream), PLAIN)
    assert (row["service_code"], row["minutes"], row["covered"]) == ("", "0", "not covered")


def test_work_that_is_not_paid_has_its_minutes_and_no_units() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 30}, credential=TRAINER)
    (row,) = read_csv(summary(stream), PLAIN)
    assert (row["minutes"], row["units"], row["covered"]) == ("30", "0", "not covered")


def test_a_visit_whose_units_wait_for_a_choice_is_not_called_covered() -> None:
    """Ruling 61."""
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20, CARDIO: 20}, note="waits")
    stream.sign({STRETCHING: 30}, note="sure", day=date(2026, 3, 9))
    document = summary(stream)
    rows = read_csv(document, PLAIN)
    assert [row["covered"] for row in rows] == ["waits for a choice"] * 2 + ["covered"]
    assert [row["units_waiting_at_most"] for row in rows] == ["1", "1", "0"]
    assert [row["reasons"][:9] for row in rows] == ["Two codes", "Two codes", ""]
    assert document.totals.units_waiting == 1


def test_a_statement_of_no_visits_is_a_heading_alone() -> None:
    stream = Stream()
    stream.authorize()
    assert forms_of(summary(stream))[PLAIN] == ",".join(COLUMNS) + "\r\n"


IDS = {"number": "00417", "member_id": "12E5"}


def test_plain_leaves_every_value_untouched() -> None:
    """Ruling 61."""
    stream = Stream()
    stream.authorize(**IDS)
    stream.sign({STRETCHING: 30})
    document = summary(stream, client="+123", payer="=1+1")
    (row,) = read_csv(document, PLAIN)
    assert (row["authorization_number"], row["member_id"]) == ("00417", "12E5")
    assert (row["npi"], row["client"], row["payer"]) == ("0234567893", "+123", "=1+1")
    text = forms_of(document)[PLAIN]
    assert not text.startswith(UTF8_MARK)
    assert text.endswith("\r\n")


def test_a_spreadsheet_keeps_identifiers_as_text_and_gets_the_mark() -> None:
    """Ruling 61: leading zeros and 12E5 survive, because a spreadsheet sees text."""
    stream = Stream()
    stream.authorize(**IDS, diagnoses=("M25.611",))
    stream.sign({STRETCHING: 30})
    document = summary(stream)
    plain, (row,) = read_csv(document, PLAIN)[0], read_csv(document, SPREADSHEET)
    assert (row["authorization_number"], row["member_id"]) == ("'00417", "'12E5")
    assert {name: row[name] for name in IDENTIFIERS} == {
        name: f"'{plain[name]}" for name in IDENTIFIERS
    }
    others = set(COLUMNS) - IDENTIFIERS
    assert {name: row[name] for name in others} == {name: plain[name] for name in others}
    assert forms_of(document)[SPREADSHEET].encode().startswith(b"\xef\xbb\xbfdate,")


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
    assert guarded(text) == f"'{text}"
    stream = Stream()
    stream.authorize(number=text)
    stream.sign({STRETCHING: 30})
    (row,) = read_csv(summary(stream, client=text), SPREADSHEET)
    assert {"'" + text} == {row["client"], row["authorization_number"]}
    dangerous = ("=", "+", "-", "@", "\t", "\r", "\n", "＝")
    assert not [one for one in row.values() if one.lstrip(" \u00a0").startswith(dangerous)]


@pytest.mark.parametrize(("text", "shown"), [("\0=1", "'=1"), ("a\0b", "ab"), ("A-1", "A-1")])
def test_nul_characters_go_and_cannot_hide_a_formula(text: str, shown: str) -> None:
    assert guarded(text) == shown


@pytest.mark.parametrize("value", [-2, None, date(2026, 3, 2)])
def test_numbers_days_and_nothing_stay_what_they_are(value: Any) -> None:
    assert guarded(value) is value


def test_the_last_day_is_the_real_one_and_visits_after_it_are_marked() -> None:
    stream = Stream()
    authorization = stream.authorize()
    stream.sign({STRETCHING: 30}, note="one")
    stream.sign({STRETCHING: 15}, note="two", day=date(2026, 3, 9))
    ended = AuthorizationEnded(authorization_id=authorization, ends_on=DAY, reason="moved")
    stream.add(ended)
    stream.sign({STRETCHING: 15}, note="three", day=date(2026, 3, 16))
    rows = read_csv(summary(stream), PLAIN)
    assert [row["used_after_end"] for row in rows] == ["", "yes", ""]
    assert [row["covered"] for row in rows] == ["covered", "covered", "not covered"]


def test_the_digests_are_those_of_the_bytes() -> None:
    """SHA-256 of "abc": FIPS 180-4, example."""
    assert digests_of({"plain": "abc"}) == {
        "plain": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    }


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


@pytest.mark.parametrize(
    ("terms", "amount", "expected"),
    [({}, "units", [2, 1, 17]), ({"minutes": 60}, "minutes", [30, 10, 20])],
)
def test_reserved_amounts_are_not_left_and_all_add_up(
    terms: dict[str, Any], amount: str, expected: list[int]
) -> None:
    stream = Stream()
    stream.authorize(**terms)
    stream.sign({STRETCHING: 20, CARDIO: 20})
    amounts = summary(stream).totals.authorization
    parts = [amounts[f"{amount}_{one}"] for one in ("used", "reserved", "left")]
    assert parts == expected
    assert sum(filter(None, parts)) == amounts[f"{amount}_authorized"]
