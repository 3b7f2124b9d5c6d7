"""Bounds of a note: numbers of a line, the moment of a signature, the order of lines."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from rest_framework import serializers

from practice.core.decisions import States
from practice.core.reasons import Rejected
from practice.core.terms import Credential, Mode, SessionPart, Side, Technique
from sessions.calendar.domain.state import CALENDAR
from sessions.notes.domain.content import note_content, note_fields
from sessions.notes.domain.decisions import wrong_line
from sessions.notes.domain.events import NoteLine, NoteSigned
from sessions.notes.domain.state import NOTES
from sessions.notes.serializers.minutes import MinutesField
from sessions.session_split.domain.loading_criteria import BodyFacts
from sessions.session_split.domain.suggestion import SessionSplitFacts, suggest_split
from sessions.stretches.domain.events import StretchPrescribed, StretchStarted
from sessions.stretches.domain.reactors import start_performed_stretches
from sessions.stretches.domain.state import STRETCHES
from tests.dsl import context, given, recorded
from tests.sessions.booking.examples import AHEAD, SESSION, arrived, booked
from tests.sessions.notes.examples import SETTINGS, START, at, notes_of, signed_note
from tests.sessions.notes.test_signing import facts, line, sign
from tests.sessions.shipped import HOUR

SECOND = timedelta(seconds=1)


@pytest.mark.parametrize(
    ("field", "least", "most"),
    [
        ("repetitions", 1, SETTINGS.most_repetitions),
        ("hold_seconds", 0, SETTINGS.longest_hold_seconds),
        ("minute", 0, SETTINGS.longest_attended_minutes),
        ("pain_before", 0, 10),
        ("pain_after", 0, 10),
    ],
)
def test_numbers_of_a_line_lie_within_their_bounds(field: str, least: int, most: int) -> None:
    def wrong(value: int | None) -> bool:
        return bool(wrong_line(line(**{field: value}), SETTINGS))

    assert [wrong(one) for one in (least - 1, least, most, most + 1)] == [True, False, False, True]
    assert not wrong(None)


@pytest.mark.parametrize(("since", "refused"), [(-SECOND, True), (timedelta(0), False)])
def test_a_note_is_signed_from_the_very_start_on(since: timedelta, *, refused: bool) -> None:
    scenario = given(CALENDAR, booked(), arrived())
    told = scenario.when(sign(scenario.state, facts()), now=AHEAD + since)
    if refused:
        told.rejected("not_started", 409)
    else:
        assert [type(one) for one in told.events][:1] == [NoteSigned]


def test_lines_stand_in_order_of_minute_then_of_place_and_those_without_come_last() -> None:
    def sent(number: int, **changes: Any) -> dict[str, Any]:
        given_line = {
            "line_id": str(UUID(int=number)),
            "stretch": "chest",
            "technique": "passive",
            "side": "left",
            "mode": "hands_on",
        }
        return {f"line.{UUID(int=number)}": {**given_line, **changes}}

    fields = {
        **sent(1),
        **sent(2, position=2),
        **sent(3, position=1),
        **sent(4, minute=20),
        **sent(5, minute=5, position=9),
        **sent(6, minute=5, position=2),
        **sent(7, minute=5),
    }
    assert [one.line_id.int for one in note_content(fields).lines] == [6, 5, 7, 4, 3, 2, 1]


def test_a_line_that_is_written_and_removed_at_once_cannot_be_meant() -> None:
    one = {"line_id": UUID(int=1)}
    for content in ({"lines": [one, one]}, {"lines": [one], "remove_lines": [UUID(int=1)]}):
        with pytest.raises(Rejected) as caught:
            note_fields(content)
        assert (caught.value.code, caught.value.status) == ("invalid", 400)
        assert "lines" in caught.value.fields


@pytest.mark.parametrize(("sent", "named"), [(1, 1), (20, 20), (21, 20), (500, 20)])
def test_of_many_unknown_parts_twenty_are_named(sent: int, named: int) -> None:
    with pytest.raises(serializers.ValidationError) as caught:
        MinutesField().run_validation({f"part{number}": 1 for number in range(sent)})
    assert len(caught.value.detail) == named


@pytest.mark.parametrize(("prescribed", "starts"), [(-30, 0), (0, 0), (20, 20)])
def test_a_stretch_begins_with_the_session_that_shows_it_and_not_before_it_was_prescribed(
    prescribed: int, starts: int
) -> None:
    made = StretchPrescribed(
        prescription_id=UUID(int=41),
        stretch="chest",
        name="Chest",
        catalogue_version=1,
        side=Side.LEFT,
        techniques=(Technique.PASSIVE,),
        doses=(),
        movements=(),
    )
    done = NoteLine(
        line_id=UUID(int=42),
        stretch="chest",
        technique=Technique.PASSIVE,
        side=Side.LEFT,
        mode=Mode.HANDS_ON,
    )
    note = signed_note(lines=(done,))
    states = States(
        {
            NOTES.name: notes_of(note),
            STRETCHES.name: given(STRETCHES, (made, at(prescribed))).state,
        }
    )
    (started,) = start_performed_stretches(recorded(note), states, None, context())
    assert isinstance(started.event, StretchStarted)
    assert started.event.session_id == SESSION
    assert started.occurred_at == START + timedelta(minutes=starts)


@pytest.mark.parametrize(
    ("weeks", "operated", "note"),
    [
        (5, True, "easy walking"),
        (6, True, "moderate"),
        (None, True, "easy walking"),
        (5, False, "moderate"),
    ],
)
def test_cardio_is_easy_walking_before_the_sixth_week(
    weeks: int | None, *, operated: bool, note: str
) -> None:
    body = BodyFacts(sedentary=False, weeks_since_operation=weeks, operated=operated)
    asked = SessionSplitFacts(
        booked_minutes=60, credential=Credential.PHYSICAL_THERAPIST, body=body
    )
    notes = {one.part: one.note for one in suggest_split(asked, HOUR).parts}
    assert notes[SessionPart.CARDIO] == note
