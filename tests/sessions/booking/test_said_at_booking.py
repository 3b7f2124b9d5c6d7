"""What a booking is told and not refused: no room, far ahead; what a late entry contradicts."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from practice.core.reasons import Reason
from practice.core.terms import Mode
from sessions.booking.domain.commands import Attendance, EnterLateSession, PreferenceFinding
from sessions.booking.domain.far_ahead import far_ahead_warnings
from sessions.booking.domain.late_entry import contradicted
from sessions.booking.domain.rooms import RoomUse, no_room_left
from tests.sessions.booking.examples import AHEAD, HANDS_ON, ROOM, ZONE, evaluated, facts, slot

ROOMS = (UUID(int=401), UUID(int=402))
END = AHEAD + timedelta(minutes=60)
MINUTE = timedelta(minutes=1)
WITHDRAWN = Reason(code="consent.withdrawn", text="Withdrawn.", source="the client")
PREFERS = Reason(code="preference.all_work", text="Prefers women.", source="the client")
CLOSED = Reason(code="closed_day", text="Closed.", source="practice policy")


def room(number: int | None, begin: datetime = AHEAD, end: datetime = END) -> RoomUse:
    return RoomUse(None if number is None else UUID(int=number), begin, end)


@pytest.mark.parametrize(
    ("held", "left"),
    [
        ([], True),
        ([room(401)], True),
        ([room(401), room(401)], True),
        ([room(401), room(402)], False),
        ([room(401), room(None)], False),
        ([room(None), room(None)], False),
        ([room(401), room(999)], True),
        ([room(401), room(402, AHEAD - 60 * MINUTE, AHEAD)], True),
        ([room(401), room(402, AHEAD - 60 * MINUTE, AHEAD + MINUTE)], False),
        ([room(401), room(402, END, END + 60 * MINUTE)], True),
        ([room(401, END, END + MINUTE), room(402, END, END + MINUTE)], True),
        ([room(401), room(402, END - MINUTE, END + 60 * MINUTE)], False),
        ([room(401, AHEAD, AHEAD + 30 * MINUTE), room(None, AHEAD + 30 * MINUTE)], True),
        ([room(401, AHEAD, AHEAD + 31 * MINUTE), room(None, AHEAD + 30 * MINUTE)], False),
    ],
)
def test_a_session_without_a_room_is_warned_where_at_some_moment_all_are_taken(
    held: list[RoomUse], left: bool
) -> None:
    """A session without a room named takes one too; a room that is not in use there is none."""
    codes = [one.code for one in no_room_left(slot(room_id=None), ROOMS, held)]
    assert codes == ([] if left else ["no_room_left"])


def test_a_session_in_a_room_and_a_place_without_rooms_run_out_of_none() -> None:
    taken = [room(401), room(402)]
    assert no_room_left(slot(room_id=ROOM), ROOMS, taken) == []
    assert no_room_left(slot(room_id=None), (), taken) == []


@pytest.mark.parametrize(
    ("day", "told"),
    [
        (date(2027, 3, 2), False),
        (date(2027, 3, 3), True),
        (date(2033, 3, 2), True),
    ],
)
def test_more_than_the_months_ahead_the_year_may_be_a_slip(day: date, told: bool) -> None:
    """By the day on the facility's clock: it is 2 March there, and 3 March in London."""
    now = datetime(2026, 3, 2, 23, 0, tzinfo=ZoneInfo(ZONE)).astimezone(UTC)
    at = datetime(day.year, day.month, day.day, 22, 30, tzinfo=ZoneInfo(ZONE))
    found = far_ahead_warnings(slot(at), now, 12)
    assert [one.code for one in found] == (["far_ahead"] if told else [])
    assert all(day.isoformat() in one.text for one in found)


def entry(
    mode: Mode | None = Mode.HANDS_ON, attendance: Attendance = Attendance.ATTENDED
) -> EnterLateSession:
    return EnterLateSession(attendance=attendance, requested_mode=mode)


def test_a_late_entry_says_that_it_could_not_be_hands_on_and_why() -> None:
    """Ruling 45: what happened is kept; what a booking of that day would be refused for is said."""
    narrow = facts(permissions=evaluated(Mode.SELF_DIRECTED, WITHDRAWN))
    assert [one.code for one in contradicted(entry(), narrow)] == [
        "not_hands_on",
        "consent.withdrawn",
    ]
    assert contradicted(entry(), facts(permissions=HANDS_ON)) == ()
    assert contradicted(entry(Mode.SELF_DIRECTED), narrow) == ()
    assert contradicted(entry(None), narrow) == ()
    assert contradicted(entry(attendance=Attendance.NO_SHOW), narrow) == ()


def test_a_late_entry_names_a_closed_place_and_a_practitioner_against_the_preference_once() -> None:
    barred = facts(
        permissions=evaluated(Mode.NOT_TODAY, PREFERS),
        preference=PreferenceFinding(against=(PREFERS,)),
    )
    found = contradicted(entry(), replace(barred, closed=(CLOSED,)))
    assert [one.code for one in found] == ["closed_day", "preference.all_work", "not_hands_on"]
