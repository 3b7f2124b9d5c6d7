"""What a signature asks for, what it keeps, and what may follow it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from practice.core.reasons import Reason
from practice.core.terms import Mode, SessionPart, Side, Technique
from sessions.calendar.domain.events import SessionCompleted
from sessions.calendar.domain.session_state import CalendarState, SessionStatus, SessionStop
from sessions.calendar.domain.state import CALENDAR
from sessions.notes.domain.content import NoteContent, note_content, note_fields
from sessions.notes.domain.decisions import SignFacts, decide_sign
from sessions.notes.domain.events import NoteLine, NotePartMinutes, NoteSigned
from sessions.notes.domain.outside import LinePermission, after_stop
from sessions.notes.domain.settings import NoteSettings
from sessions.notes.domain.state import NOTES, NotesState
from tests.dsl import NOW, given, recorded
from tests.sessions.booking.examples import AHEAD, OTHER, SESSION, arrived, booked, slot

NOTE = UUID(int=601)
LINE = UUID(int=701)
SETTINGS = NoteSettings(
    required_texts=("subjective", "objective", "assessment", "plan"),
    longest_attended_minutes=480,
    most_repetitions=200,
    longest_hold_seconds=600,
    unsigned_after_hours=48,
)
TEXTS = {"subjective": "s", "objective": "o", "assessment": "a", "plan": "p"}
HOUR = (
    NotePartMinutes(part=SessionPart.STRETCHING, minutes=40),
    NotePartMinutes(part=SessionPart.CARDIO, minutes=10),
)
CONSENT = Reason(code="consent_none", text="No consent.", source="practice policy")


def line(**changes: Any) -> NoteLine:
    values: dict[str, Any] = {
        "line_id": LINE,
        "stretch": "chest_arms_out",
        "technique": Technique.ACTIVE_ISOLATED,
        "side": Side.LEFT,
        "mode": Mode.HANDS_ON,
        "repetitions": 10,
        "minute": 12,
    }
    return NoteLine(**{**values, **changes})


def content(**changes: Any) -> NoteContent:
    values: dict[str, Any] = {**TEXTS, "minutes": HOUR, "not_counted_minutes": 10}
    return NoteContent(**{**values, **changes})


def facts(written: NoteContent | None = None, **changes: Any) -> SignFacts:
    note = written or content()
    values: dict[str, Any] = {
        "note_id": NOTE,
        "content": note,
        "revision": 7,
        "permitted": {one.line_id: LinePermission(Mode.HANDS_ON) for one in note.lines},
        "settings": SETTINGS,
        "evaluated_with": {"permissions": 4},
    }
    return SignFacts(**{**values, **changes})


def sign(state: CalendarState, given_facts: SignFacts, notes: NotesState | None = None) -> Any:
    empty = notes or NotesState({})
    return lambda s, c: decide_sign(s, empty, SESSION, given_facts, c)


def signing(given_facts: SignFacts, *events: Any) -> Any:
    scenario = given(CALENDAR, *(events or (booked(), arrived())))
    return scenario.when(sign(scenario.state, given_facts), now=AHEAD + timedelta(hours=1))


def signed(given_facts: SignFacts) -> NoteSigned:
    event, completed = signing(given_facts).then_kinds(NoteSigned, SessionCompleted)
    assert completed == SessionCompleted(session_id=SESSION, note_id=given_facts.note_id)
    assert isinstance(event, NoteSigned)
    return event


def test_a_complete_note_is_signed_with_all_that_billing_needs() -> None:
    event = signed(facts())
    assert event.attended_minutes == 60
    assert event.minutes == HOUR
    assert (event.started_at, event.local_date) == (AHEAD, booked().local_date)
    assert (event.draft_revision, event.evaluated_with) == (7, {"permissions": 4})


def test_signing_completes_the_session() -> None:
    batch = signing(facts()).events
    state = given(CALENDAR, booked(), arrived(), *batch).state.session(SESSION)
    assert (state.status, state.note_id) == (SessionStatus.COMPLETED, NOTE)


@pytest.mark.parametrize("missing", sorted(TEXTS))
def test_a_required_part_that_is_missing_is_named(missing: str) -> None:
    refusal = signing(facts(content(**{missing: "  "}))).rejected("incomplete_note", 400)
    assert list(refusal.fields) == [missing]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"attended_minutes": 61}, "attended_minutes"),
        ({"minutes": (NotePartMinutes(part=SessionPart.CARDIO, minutes=-1),)}, "minutes.cardio"),
        ({"minutes": (NotePartMinutes(part=SessionPart.CARDIO, minutes=481),)}, "minutes.cardio"),
        ({"minutes": (), "not_counted_minutes": 0}, "minutes"),
        ({"not_counted_minutes": -5}, "not_counted_minutes"),
        ({"minutes": HOUR, "not_counted_minutes": 440}, "minutes"),
        ({"minutes": HOUR, "not_counted_minutes": 11}, "minutes"),
        ({"minutes": (HOUR[0], HOUR[0])}, "minutes"),
    ],
)
def test_impossible_minutes_are_refused_with_the_field(changes: Any, field: str) -> None:
    refusal = signing(facts(content(**changes))).rejected("impossible_minutes", 400)
    assert field in refusal.fields


def test_parts_and_not_counted_make_the_attended_time() -> None:
    assert signed(facts(content(attended_minutes=60))).attended_minutes == 60


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"repetitions": 0}, "repetitions"),
        ({"repetitions": 201}, "repetitions"),
        ({"hold_seconds": 601}, "hold_seconds"),
        ({"minute": -1}, "minute"),
        ({"pain_before": 11}, "pain_before"),
        ({"pain_after": -1}, "pain_after"),
    ],
)
def test_impossible_numbers_of_a_line_are_refused_naming_the_line(changes: Any, field: str) -> None:
    note = content(lines=(line(**changes),))
    refusal = signing(facts(note)).rejected("incomplete_note", 400)
    assert f"lines.{LINE}.{field}" in refusal.fields


def test_unexplained_work_outside_its_permission_asks_for_an_explanation_and_names_the_line() -> (
    None
):
    note = content(lines=(line(),))
    narrow = {LINE: LinePermission(Mode.SELF_DIRECTED, (CONSENT,))}
    refusal = signing(facts(note, permitted=narrow)).rejected("explanation_needed", 400)
    assert f"explanations.{LINE}" in refusal.fields
    assert refusal.reasons == (CONSENT,)
    assert refusal.extra["lines"][0]["line_id"] == str(LINE)


def test_explained_work_outside_its_permission_is_kept_with_reasons_and_explanation() -> None:
    note = content(lines=(line(),), explanations={LINE: "The client asked for help to sit up."})
    narrow = {LINE: LinePermission(Mode.SELF_DIRECTED, (CONSENT,))}
    (outside,) = signed(facts(note, permitted=narrow)).outside
    assert (outside.line_id, outside.allowed) == (LINE, Mode.SELF_DIRECTED)
    assert outside.reasons == (CONSENT,)
    assert outside.explanation == "The client asked for help to sit up."


def test_work_within_its_permission_needs_no_explanation() -> None:
    note = content(lines=(line(mode=Mode.SELF_DIRECTED),))
    narrow = {LINE: LinePermission(Mode.SELF_DIRECTED, (CONSENT,))}
    assert signed(facts(note, permitted=narrow)).outside == ()


def test_a_note_is_signed_once_and_only_after_arrival() -> None:
    signing(facts(), booked()).rejected("session_status", 409)
    notes = given(NOTES, signed(facts())).state
    scenario = given(CALENDAR, booked(), arrived())
    scenario.when(sign(scenario.state, facts(), notes)).rejected("already_signed", 409)


def test_a_session_that_has_not_started_is_not_signed() -> None:
    scenario = given(CALENDAR, booked(), arrived())
    scenario.when(sign(scenario.state, facts()), now=AHEAD - timedelta(hours=1)).rejected(
        "not_started", 409
    )


def test_unresolved_collisions_of_the_draft_hold_up_the_signature() -> None:
    refusal = signing(facts(collisions={"plan": ["Friday", "Monday"]})).rejected(
        "unresolved_collisions", 409
    )
    assert refusal.extra["collisions"] == {"plan": ["Friday", "Monday"]}


FIRST, SECOND, UNTIMED = (line(line_id=UUID(int=n)) for n in (1, 2, 3))


@pytest.mark.parametrize(
    ("minute", "last", "expected"),
    [
        (12, None, True),
        (13, None, False),
        (5, None, True),
        (5, UUID(int=1), False),
        (None, None, True),
        (None, UUID(int=1), False),
        (None, UUID(int=99), True),
    ],
)
def test_lines_after_a_stop_are_told_by_minute_and_by_the_last_line_before_it(
    minute: int | None, last: UUID | None, expected: bool
) -> None:
    """A stop at minute 12 or at the given minute; the line lies at minute 12 or has none."""
    stop = SessionStop(
        minute if minute is not None else 12, everything=False, last_line_id=last, occurred_at=NOW
    )
    one = line(line_id=UUID(int=1), minute=None if minute is None else 12)
    assert after_stop(one, (one,), stop) is expected


def test_without_a_stop_no_line_is_after_it() -> None:
    assert not after_stop(line(), (line(),), None)


def test_another_sessions_note_is_not_this_sessions() -> None:
    notes = given(NOTES, signed(facts())).state
    assert OTHER not in notes.by_session


def test_a_drafts_fields_read_back_as_the_note_that_was_written() -> None:
    written = {
        **TEXTS,
        "minutes": {"stretching": 40, "cardio": 10},
        "not_counted_minutes": 10,
        "lines": [{"line_id": str(LINE), "stretch": "neck", "technique": "passive",
                   "side": "left", "mode": "hands_on"}],
        "explanations": {str(LINE): "why"},
    }  # fmt: skip
    read = note_content(note_fields(written))
    assert read.minutes == HOUR
    assert read.lines[0].line_id == LINE
    assert read.explanations == {LINE: "why"}


def test_a_line_cannot_be_written_and_removed_at_once() -> None:
    one = {"line_id": str(LINE)}
    with pytest.raises(Exception, match="Each line once"):
        note_fields({"lines": [one], "remove_lines": [str(LINE)]})


def test_lines_read_in_the_order_of_their_minute() -> None:
    late, early = line(line_id=UUID(int=1), minute=30), line(line_id=UUID(int=2), minute=3)
    fields = {f"line.{one.line_id}": _plain(one) for one in (late, early)}
    assert [one.minute for one in note_content(fields).lines] == [3, 30]


def _plain(one: NoteLine) -> dict[str, Any]:
    return {"line_id": str(one.line_id), "stretch": one.stretch, "technique": one.technique.value,
            "side": one.side.value, "mode": one.mode.value, "minute": one.minute}  # fmt: skip


def test_the_local_day_is_the_one_the_session_started_on() -> None:
    # 23:30 in New York on 1 March 2026.
    evening = NOW.replace(day=2, hour=4, minute=30)
    scenario = given(CALENDAR, booked(at=slot(evening)), arrived())
    scenario.when(sign(scenario.state, facts()), now=evening + timedelta(hours=1))
    event, _ = scenario.then_kinds(NoteSigned, SessionCompleted)
    assert isinstance(event, NoteSigned)
    assert event.local_date.isoformat() == "2026-03-01"
    assert recorded(event).type == "note.signed"
