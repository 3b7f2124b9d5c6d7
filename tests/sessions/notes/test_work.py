"""Cardio, strength, starts and stops in a note: what is kept, what cannot be, what is asked."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from practice.core.terms import Mode, SessionPart
from sessions.calendar.domain.state import CALENDAR
from sessions.notes.domain.content import NoteContent, note_content, note_fields, readable
from sessions.notes.domain.decisions import note_times
from sessions.notes.domain.findings import draft_findings
from sessions.notes.domain.minutes import wrong_minutes
from sessions.notes.domain.outside import LinePermission
from sessions.notes.domain.terms import BroughtFrom, CardioMode, CardioWork, PartSpan, StrengthWork
from sessions.notes.domain.work import minutes_of_spans, wrong_spans
from tests.dsl import given
from tests.sessions.booking.examples import AHEAD, SESSION, arrived, booked
from tests.sessions.notes.test_signing import SETTINGS, content, facts, line, signed, signing

ONE, TWO = UUID(int=801), UUID(int=802)


def at(minute: float) -> datetime:
    return AHEAD + timedelta(minutes=minute)


def span(begin: float, end: float, part: str = "stretching", key: UUID = ONE) -> PartSpan:
    return PartSpan(line_id=key, part=SessionPart(part), started_at=at(begin), stopped_at=at(end))


def cardio(minutes: int = 10) -> CardioWork:
    return CardioWork(
        line_id=ONE, mode=CardioMode.WALKING, minutes=minutes, heart_rate=112, exertion=5
    )


def strength(repetitions: int = 10) -> StrengthWork:
    return StrengthWork(
        line_id=TWO, exercise="row with a band", sets=2, repetitions=repetitions, load_kg=2.5
    )


def found(note: NoteContent) -> dict[str, str]:
    """The findings of a draft an hour after its session began: code by field."""
    session = given(CALENDAR, booked(), arrived()).state.session(SESSION)
    permitted = {one.line_id: LinePermission(Mode.HANDS_ON) for one in note.lines}
    rows = draft_findings(note, session, permitted, SETTINGS, AHEAD + timedelta(hours=1))
    return {one.field: one.code for one in rows}


def test_all_that_was_done_is_in_the_signed_note() -> None:
    spans = (span(0, 40), span(40, 50, "cardio", TWO))
    note = content(cardio=(cardio(),), strength=(strength(),), spans=spans)
    event = signed(facts(note))
    assert (event.cardio, event.strength, event.spans) == ((cardio(),), (strength(),), spans)


def test_minutes_come_from_start_and_stop_where_none_are_entered() -> None:
    """Whole minutes of all of a part together: 20.5 and 19.5 minutes are 40."""
    sent = {
        "spans": [
            {"line_id": ONE, "part": "stretching", "started_at": at(0), "stopped_at": at(20.5)},
            {"line_id": TWO, "part": "stretching", "started_at": at(30), "stopped_at": at(49.5)},
        ],
        "minutes": {"cardio": 8},
    }
    note = note_content(note_fields(sent))
    assert {one.part.value: one.minutes for one in note.minutes} == {"stretching": 40, "cardio": 8}
    entered = note_content(note_fields({**sent, "minutes": {"stretching": 38}}))
    assert readable(note_fields({**sent, "minutes": {"stretching": 38}}))["minutes"] == {
        "stretching": 38
    }
    assert found(entered)["minutes.stretching"] == "impossible_minutes"
    assert minutes_of_spans([span(0, 1.99)]) == {SessionPart.STRETCHING: 1}


@pytest.mark.parametrize(
    ("second", "wrong"),
    [
        (span(40, 50, "cardio", TWO), False),
        (span(39, 50, "cardio", TWO), True),
        (span(5, 6, "cardio", TWO), True),
        (span(60, 60, "cardio", TWO), True),
        (span(60, 60.1, "cardio", TWO), False),
    ],
)
def test_a_minute_of_the_client_is_in_one_part(second: PartSpan, wrong: bool) -> None:
    """Ruling 57: counted once."""
    assert bool(wrong_spans([second, span(0, 40)])) is wrong


def test_a_span_within_a_longer_one_does_not_hide_what_overlaps_the_longer() -> None:
    third = span(30, 35, "strength", UUID(int=803))
    assert set(wrong_spans([span(0, 40), span(5, 6, "cardio", TWO), third])) == {
        f"spans.{TWO}",
        f"spans.{third.line_id}",
    }


@pytest.mark.parametrize(("minutes", "wrong"), [(10, False), (11, True)])
def test_lines_of_cardio_are_not_longer_than_cardio(minutes: int, wrong: bool) -> None:
    note = content(cardio=(cardio(minutes),))
    session = given(CALENDAR, booked(), arrived()).state.session(SESSION)
    told = wrong_minutes(note, note_times(session, note), "UTC", SETTINGS)
    assert ("minutes.cardio" in told) is wrong
    if wrong:
        signing(facts(note)).rejected("impossible_minutes", 400)


def test_cardio_without_the_minutes_of_its_part_is_told_before_the_signature() -> None:
    assert found(NoteContent(cardio=(cardio(),))) == {"minutes.cardio": "impossible_minutes"}


@pytest.mark.parametrize(
    ("repetitions", "wrong"), [(0, True), (1, False), (200, False), (201, True)]
)
def test_repetitions_of_strength_that_cannot_be(repetitions: int, wrong: bool) -> None:
    note = content(strength=(strength(repetitions),))
    field = f"strength.{TWO}.repetitions"
    assert found(note).get(field) == ("impossible_number" if wrong else None)
    if wrong:
        signing(facts(note)).rejected("incomplete_note", 400)


@pytest.mark.parametrize(
    ("brought", "response", "code"),
    [
        (BroughtFrom.LAST_NOTE, "more", "untouched_line"),
        (BroughtFrom.PLAN, " ", "response_missing"),
        (BroughtFrom.PLAN, "as expected", None),
        (None, "", None),
    ],
)
def test_lines_that_were_brought_say_what_was_done_before_they_are_signed(
    brought: Any, response: str, code: str | None
) -> None:
    one = line(brought_from=brought, response=response)
    note = content(lines=(one,))
    assert set(found(note).values()) == ({code} if code else set())
    if code:
        signing(facts(note)).rejected("incomplete_note", 400)
    else:
        assert signed(facts(note)).lines == (one,)


def test_one_kind_of_lines_is_removed_without_the_others() -> None:
    fields = note_fields({"remove_cardio": [ONE], "remove_lines": [TWO]})
    assert fields == {f"cardio.{ONE}": None, f"line.{TWO}": None, f"explanation.{TWO}": None}
