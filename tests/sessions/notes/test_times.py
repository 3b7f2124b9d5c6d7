"""When a session took place, and how the clock bounds its minutes (ruling 58)."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from sessions.booking.domain.opening_warnings import opening_warnings
from sessions.calendar.domain.events import SessionCompleted, SessionOpened
from sessions.calendar.domain.overlaps import TakenTime, overlap_warnings
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR
from sessions.notes.domain.decisions import SignFacts, decide_sign
from sessions.notes.domain.events import NoteSigned, TimeSource
from sessions.notes.domain.state import NotesState
from sessions.notes.domain.times import session_times
from tests.dsl import given
from tests.sessions.booking.examples import AHEAD, HANDS_ON, SESSION, ZONE, arrived, booked
from tests.sessions.notes.examples import parts
from tests.sessions.notes.test_signing import content, facts

END = AHEAD + timedelta(minutes=60)


def after(minutes: float) -> datetime:
    return AHEAD + timedelta(minutes=minutes)


def session(
    arrival: float | None = None, opening: float | None = None, **changes: Any
) -> SessionState:
    """A session of an hour with arrival and opening so many minutes after its booked start."""
    happened: list[Any] = [booked(**changes)]
    if arrival is not None:
        happened.append((arrived(), after(arrival)))
    if opening is not None:
        opened = SessionOpened(
            session_id=SESSION, practitioner_id=UUID(int=1), permissions=HANDS_ON
        )
        happened.append((opened, after(opening)))
    found: SessionState = given(CALENDAR, *happened).state.session(SESSION)
    return found


@pytest.mark.parametrize(
    ("arrival", "opening", "start", "source"),
    [
        (0, 5, 5, TimeSource.OPENING),
        (-10, 0, 0, TimeSource.OPENING),
        (-10, 59.9, 59, TimeSource.OPENING),
        (3, -1, 3, TimeSource.ARRIVAL),
        (3, 60, 3, TimeSource.ARRIVAL),
        (3.5, None, 3, TimeSource.ARRIVAL),
        (-10, -1 / 60, 0, TimeSource.BOOKING),
        (-10, 60, 0, TimeSource.BOOKING),
        (60, None, 0, TimeSource.BOOKING),
        (-10, None, 0, TimeSource.BOOKING),
    ],
)
def test_the_start_is_the_opening_then_the_arrival_within_the_booked_time_else_the_booked_start(
    arrival: float, opening: float | None, start: float, source: TimeSource
) -> None:
    """Ruling 58: a session opened ahead does not reach into the one before it."""
    times = session_times(session(arrival, opening))
    assert (times.started_at, times.started_from) == (after(start), source)
    assert (times.ended_at, times.ended_from) == (END, TimeSource.BOOKING)


def test_a_late_entry_takes_its_start_from_the_booking() -> None:
    """Its arrival is entered with it and says nothing of when the client came."""
    assert session_times(session(5, late_entry=True)).started_from is TimeSource.BOOKING


def signing(now: datetime, *, confirmed: bool = False, **note: Any) -> Any:
    """A signature of a note at a time."""
    written = content(**note)
    found: SignFacts = facts(written, confirmed=confirmed)
    scenario = given(CALENDAR, booked(), (arrived(), after(0)))
    return scenario.when(
        lambda state, ctx: decide_sign(state, NotesState({}), SESSION, found, ctx), now=now
    )


def signed(scenario: Any) -> NoteSigned:
    event, _ = scenario.then_kinds(NoteSigned, SessionCompleted)
    assert isinstance(event, NoteSigned)
    return event


def minutes(total: int) -> dict[str, Any]:
    return {"minutes": parts(stretching=total), "not_counted_minutes": 0}


def test_as_many_minutes_as_between_start_and_end_are_signed_and_one_more_is_refused() -> None:
    """Ruling 58: 240 typed for 24 is refused, naming both ends."""
    event = signed(signing(END, **minutes(60)))
    assert (event.booked_minutes, event.attended_minutes) == (60, 60)
    assert (event.started_from, event.ended_at) == (TimeSource.ARRIVAL, END)
    for total in (61, 240):
        refusal = signing(END, **minutes(total)).rejected("impossible_minutes", 400)
        text = refusal.fields["minutes"]
        assert f"{total} minutes" in text
        assert "10:00 (from arrival)" in text
        assert "11:00 (from booking)" in text


def test_more_than_booked_needs_a_confirmation_and_is_warned_of() -> None:
    longer = {"ended_at": after(75), **minutes(75)}
    refusal = signing(after(75), **longer).rejected("confirmation_needed", 409)
    assert refusal.extra == {
        "attended_minutes": 75,
        "booked_minutes": 60,
        "confirm": "confirm_more_than_booked",
    }
    event = signed(signing(after(75), confirmed=True, **longer))
    assert (event.ended_at, event.ended_from) == (after(75), TimeSource.PRACTITIONER)
    assert [one.code for one in event.warnings] == ["more_than_booked"]
    assert not signed(signing(after(75), ended_at=after(75), **minutes(60))).warnings


@pytest.mark.parametrize(
    ("note", "field"),
    [
        ({"started_at": after(61)}, "started_at"),
        ({"ended_at": after(61)}, "ended_at"),
        ({"started_at": after(-481)}, "started_at"),
        ({"started_at": after(30), "ended_at": after(30)}, "ended_at"),
        ({"started_at": after(30), "ended_at": after(29)}, "ended_at"),
        ({"started_at": after(60)}, "ended_at"),
    ],
)
def test_times_that_cannot_be_are_refused_with_the_field(note: Any, field: str) -> None:
    refusal = signing(END, **minutes(1), **note).rejected("impossible_times", 400)
    assert list(refusal.fields) == [field]


def test_the_practitioner_may_set_both_up_to_now() -> None:
    event = signed(signing(END, started_at=after(-20), ended_at=END, **minutes(60)))
    assert (event.started_at, event.started_from) == (after(-20), TimeSource.PRACTITIONER)
    far = signed(signing(after(0), started_at=after(-480), ended_at=after(-420), **minutes(60)))
    assert far.started_at == after(-480)


@pytest.mark.parametrize(("now", "warned"), [(after(59.9), True), (END, False)])
def test_signing_before_the_end_warns(now: datetime, warned: bool) -> None:
    """Ruling 58: a note of an hour was signed 73 seconds after the opening."""
    codes = [one.code for one in signed(signing(now, **minutes(60))).warnings]
    assert codes == (["signed_before_end"] if warned else [])


def test_a_session_that_has_not_started_is_signed_only_with_its_start_set() -> None:
    scenario = given(CALENDAR, booked(), (arrived(), after(-30)))
    empty = NotesState({})

    def sign(note: Any) -> Any:
        found = facts(content(**minutes(15), **note))
        return scenario.when(
            lambda state, ctx: decide_sign(state, empty, SESSION, found, ctx), now=after(-1)
        )

    sign({}).rejected("not_started", 409)
    scenario.refusal = None
    event = signed(sign({"started_at": after(-20), "ended_at": after(-1)}))
    assert event.started_at == after(-20)


# --- time that is shared ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("starts", "ends", "shared"),
    [(-60, 0, False), (-60, 1, True), (59, 90, True), (60, 90, False), (10, 20, True)],
)
@pytest.mark.parametrize("of_client", [True, False])
def test_time_shared_with_another_session_is_warned_of(
    starts: float, ends: float, shared: bool, of_client: bool
) -> None:
    other = TakenTime(after(starts), after(ends), of_client)
    codes = [one.code for one in overlap_warnings(AHEAD, END, ZONE, [other])]
    assert codes == ([f"overlaps_{'client' if of_client else 'practitioner'}"] if shared else [])


@pytest.mark.parametrize(
    ("now", "expected"),
    [
        (-30, ["opened_outside_booked_time", "overlaps_practitioner"]),
        (-10, ["opened_outside_booked_time"]),
        (0, []),
        (59, []),
        (60, ["opened_outside_booked_time"]),
    ],
)
def test_opening_ahead_of_its_time_or_during_another_session_is_warned_of(
    now: float, expected: list[str]
) -> None:
    """Ruling 58: the other session runs until ten minutes before this one is booked."""
    other = TakenTime(after(-60), after(-10), of_client=False)
    found = opening_warnings(session(-90), [other], after(now))
    assert [one.code for one in found] == expected
