"""What of a summary that was sent is not true any more (ruling 59)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import msgspec

from billing.authorizations.domain.events import VisitOverridden
from billing.summaries.domain.corrections import corrected_since, corrections_of
from billing.summaries.domain.document import VisitCorrection
from billing.summaries.domain.forms import SummaryForm
from billing.summaries.domain.state import KEPT_SUMMARIES
from billing.visits.domain.entered_in_error import without_session
from sessions.calendar.domain.events import SessionEnteredInError
from tests.billing.streams import CARDIO, DAY, STRETCHING, Stream, named
from tests.billing.summary_streams import (
    NAMES,
    PERIOD,
    corrected,
    folded,
    now_of,
    read_csv,
    send,
    summary,
)

PLAIN = SummaryForm.PLAIN
LATER = date(2026, 3, 9)


def sent() -> Stream:
    """Two visits, sent."""
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 30}, note="one")
    stream.sign({STRETCHING: 15}, note="two", day=LATER)
    send(stream, "first")
    return stream


def said(one: VisitCorrection) -> list[tuple[str, str, Any, Any]]:
    return [(row.service_code, row.field, row.sent, row.now) for row in one.corrected_fields]


def enter_in_error(stream: Stream, note: str) -> None:
    error = SessionEnteredInError(
        session_id=named(f"session of {note}"), was="completed", reason="the wrong client"
    )
    stream.add(error)
    stream.add(*without_session(error.session_id, stream.authorization_balance, stream.payers))


def test_nothing_was_corrected_where_nothing_changed() -> None:
    stream = sent()
    assert corrected(stream, "first") == ()
    later = send(stream, "second")
    assert later.corrections == ()
    assert {(row.sent_on, row.correction) for row in later.rows} == {(None, "")}


def test_a_correction_says_what_was_sent_what_is_true_and_why() -> None:
    stream = sent()
    stream.correct("one", {STRETCHING: 45, CARDIO: 8})
    (one,) = corrected(stream, "first")
    assert (one.summary_id, one.date) == (named("first"), DAY)
    assert said(one) == [
        ("C", "minutes", None, 8),
        ("C", "units", None, 1),
        ("S", "minutes", 30, 45),
        ("S", "units", 2, 3),
    ]
    (reason,) = one.reasons
    assert (reason.what, reason.reason) == ("an addendum corrected the note", "")
    assert reason.recorded_at == stream.events[-2].recorded_at


def test_a_later_summary_of_overlapping_days_shows_it_in_columns_of_its_own() -> None:
    stream = sent()
    stream.correct("one", {STRETCHING: 45})
    document = summary(stream, "second", (DAY, DAY))
    assert [(one.date, said(one)) for one in document.corrections] == [
        (DAY, [("S", "minutes", 30, 45), ("S", "units", 2, 3)])
    ]
    (row,) = read_csv(document, PLAIN)
    assert (row["units"], row["sent_on"]) == ("3", "2026-03-01")
    assert row["correction"] == ("minutes: 30 was sent, 45 is right; units: 2 was sent, 3 is right")
    assert row["correction_reason"] == "2026-03-01 an addendum corrected the note"
    other_days = summary(stream, "third", (LATER, LATER))
    assert other_days.corrections == ()


def test_the_end_days_of_what_was_sent_belong_to_it_and_the_days_beside_do_not() -> None:
    for period, told in (
        ((DAY - timedelta(days=9), DAY), 1),
        ((DAY, LATER), 1),
        ((DAY - timedelta(days=9), DAY - timedelta(days=1)), 0),
        ((DAY + timedelta(days=1), LATER), 0),
    ):
        stream = Stream()
        stream.authorize()
        stream.sign({STRETCHING: 30}, note="one")
        send(stream, "first", period)
        stream.correct("one", {STRETCHING: 15})
        assert len(corrected(stream, "first")) == told
        assert len(summary(stream, "second").corrections) == told


def test_a_visit_that_is_none_any_more_is_a_row_of_nothing() -> None:
    stream = sent()
    enter_in_error(stream, "one")
    document = send(stream, "second")
    (one,) = document.corrections
    assert ("S", "units", 2, None) in said(one)
    assert [(reason.what, reason.reason) for reason in one.reasons] == [
        ("a session was entered in error", "the wrong client")
    ]
    gone = read_csv(document, PLAIN)
    rows = [(row["date"], row["service_code"], row["units"], row["covered"]) for row in gone]
    assert ("2026-03-02", "S", "0", "not covered") in rows
    assert document.totals.units == 1
    assert corrected(stream, "second") == ()
    assert summary(stream, "third").corrections == ()


def test_a_visit_signed_after_the_summary_is_told_as_one_that_was_not_in_it() -> None:
    stream = sent()
    stream.sign({STRETCHING: 15}, note="late", day=date(2026, 3, 16))
    (one,) = corrected(stream, "first")
    assert said(one) == [("S", "minutes", None, 15), ("S", "units", None, 1)]
    assert one.reasons[-1].what == "a note was signed"


def test_each_day_is_compared_with_the_latest_summary_that_spoke_of_it() -> None:
    stream = sent()
    stream.correct("one", {STRETCHING: 45})
    send(stream, "second", (DAY, DAY))
    assert summary(stream, "third").corrections == ()
    stream.correct("two", {STRETCHING: 45})
    (one,) = summary(stream, "third").corrections
    assert (one.summary_id, one.date) == (named("first"), LATER)
    assert len(corrected(stream, "first")) == 2


def test_the_day_after_a_later_summary_is_compared_with_the_one_before_it() -> None:
    stream = sent()
    send(stream, "second", (DAY, LATER - timedelta(days=1)))
    stream.correct("two", {STRETCHING: 45})
    (one,) = summary(stream, "third").corrections
    assert (one.summary_id, one.date) == (named("first"), LATER)


def test_a_summary_of_whose_days_later_ones_all_speak_is_not_read_again() -> None:
    """Each has every row of its period: a tenth export would read nine."""
    stream = sent()
    send(stream, "second", (PERIOD[0], DAY))
    send(stream, "third", (DAY + timedelta(days=1), PERIOD[1]))
    stream.correct("one", {STRETCHING: 45})
    first, *later = folded(stream, KEPT_SUMMARIES).values()
    unread = replace(first, event=msgspec.structs.replace(first.event, forms={}))
    (one,) = corrections_of([unread, *later], now_of(stream), lambda _day: True)
    assert (one.summary_id, one.date) == (named("second"), DAY)


def test_a_reason_from_before_the_summary_is_none_of_its_corrections() -> None:
    stream = Stream()
    stream.authorize()
    visit = stream.sign({STRETCHING: 30}, note="one")
    stream.add(VisitOverridden(visit_id=visit.visit_id, reason="before it was sent"))
    send(stream, "first")
    stream.correct("one", {STRETCHING: 15})
    (one,) = corrected(stream, "first")
    assert [reason.what for reason in one.reasons] == ["an addendum corrected the note"]


def test_a_name_put_right_is_no_correction_of_a_visit() -> None:
    stream = sent()
    renamed = replace(NAMES, people={named("practitioner"): "Another Name"})
    assert corrected(stream, "first", renamed) == ()


def test_a_word_or_a_place_that_alone_is_another_is_a_correction() -> None:
    stream = sent()
    first, now = folded(stream, KEPT_SUMMARIES)[named("first")], now_of(stream)
    for name, value in (("covered", "not covered"), ("facility_ids", (named("elsewhere"),))):
        one, other = now.rows
        changed = msgspec.structs.replace(one, **{name: value})
        (found,) = corrected_since(first, replace(now, rows=(changed, other)))
        assert [row.field for row in found.corrected_fields] == [name.removesuffix("_ids")]


def test_what_is_kept_is_the_text_that_was_sent() -> None:
    stream = sent()
    kept = folded(stream, KEPT_SUMMARIES)[named("first")]
    before = dict(kept.event.forms)
    stream.correct("one", {STRETCHING: 45})
    send(stream, "second")
    again = folded(stream, KEPT_SUMMARIES)[named("first")]
    assert again.event.forms == before
    assert again.document == kept.document
    assert again.document.heading.period_start == PERIOD[0]
