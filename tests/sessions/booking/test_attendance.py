"""Arrived, absent, opened, stopped, and the flag of a session that narrowed."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from practice.core.reasons import Reason
from practice.core.terms import Mode
from sessions.booking.domain.attendance import (
    decide_arrive,
    decide_no_show,
    decide_open,
    decide_stop,
    flag_if_narrowed,
)
from sessions.booking.domain.commands import MarkNoShow, RecordArrival, StopSession
from sessions.calendar.domain.events import (
    SessionArrived,
    SessionFlagged,
    SessionMarkedNoShow,
    SessionOpened,
    SessionStopped,
)
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import HandsOnToday, SubmittedArrivalAnswers
from tests.dsl import given
from tests.sessions.booking.examples import (
    AHEAD,
    HANDS_ON,
    SESSION,
    SETTINGS,
    arrived,
    booked,
    evaluated,
)

YES = SubmittedArrivalAnswers(pain_now=2, hands_on_today=HandsOnToday.YES)
RED_FLAG = Reason(code="fever", text="38.4 degrees.", source="practice policy")


def arrive(answers: SubmittedArrivalAnswers = YES, **changes: object) -> RecordArrival:
    return RecordArrival(session_id=SESSION, answers=answers, **changes)  # type: ignore[arg-type]


def test_arrival_keeps_the_answers_and_what_they_allow() -> None:
    scenario = given(CALENDAR, booked()).when(
        lambda s, c: decide_arrive(s, arrive(), HANDS_ON, SETTINGS, c), now=AHEAD
    )
    scenario.then(SessionArrived(session_id=SESSION, answers=YES, permissions=HANDS_ON))


def test_the_answers_of_the_day_narrow_the_session() -> None:
    red = evaluated(Mode.NOT_TODAY, RED_FLAG)
    state = given(CALENDAR, booked(), arrived(permissions=red)).state.session(SESSION)
    assert (state.planned_mode, state.mode) == (Mode.HANDS_ON, Mode.NOT_TODAY)


def test_answers_may_be_given_again_but_the_same_ones_change_nothing() -> None:
    scenario = given(CALENDAR, booked(), arrived())
    scenario.when(lambda s, c: decide_arrive(s, arrive(), HANDS_ON, SETTINGS, c), now=AHEAD).then()
    more = SubmittedArrivalAnswers(pain_now=5, hands_on_today=HandsOnToday.NO)
    scenario.when(
        lambda s, c: decide_arrive(s, arrive(more), HANDS_ON, SETTINGS, c), now=AHEAD
    ).then_kinds(SessionArrived)


def test_arrival_days_ahead_or_in_the_future_is_refused() -> None:
    early = AHEAD - timedelta(hours=SETTINGS.arrival_hours_before, minutes=1)
    given(CALENDAR, booked()).when(
        lambda s, c: decide_arrive(s, arrive(), HANDS_ON, SETTINGS, c), now=early
    ).rejected("too_early", 409)
    ahead_of_time = arrive(occurred_at=AHEAD + timedelta(minutes=5))
    given(CALENDAR, booked()).when(
        lambda s, c: decide_arrive(s, ahead_of_time, HANDS_ON, SETTINGS, c), now=AHEAD
    ).rejected("invalid", 400)


def test_arrival_entered_later_is_dated_when_it_happened() -> None:
    scenario = given(CALENDAR, booked()).when(
        lambda s, c: decide_arrive(s, arrive(occurred_at=AHEAD), HANDS_ON, SETTINGS, c),
        now=AHEAD + timedelta(days=2),
    )
    assert scenario.decided is not None
    assert getattr(scenario.decided[0], "occurred_at", None) == AHEAD


def test_absence_waits_for_the_start_and_is_dated_then() -> None:
    command = MarkNoShow(session_id=SESSION, reason="no word")
    given(CALENDAR, booked()).when(
        lambda s, c: decide_no_show(s, command, c), now=AHEAD - timedelta(minutes=1)
    ).rejected("too_early", 409)
    scenario = given(CALENDAR, booked()).when(
        lambda s, c: decide_no_show(s, command, c), now=AHEAD + timedelta(minutes=20)
    )
    scenario.then(SessionMarkedNoShow(session_id=SESSION, reason="no word"))
    given(CALENDAR, booked(), arrived()).when(
        lambda s, c: decide_no_show(s, command, c), now=AHEAD + timedelta(minutes=20)
    ).rejected("session_status", 409)


def test_a_session_is_opened_once_and_after_arrival() -> None:
    who = UUID(int=112)
    given(CALENDAR, booked()).when(lambda s, _c: decide_open(s, SESSION, who, HANDS_ON)).rejected(
        "not_arrived", 409
    )
    opened = SessionOpened(session_id=SESSION, practitioner_id=who, permissions=HANDS_ON)
    given(CALENDAR, booked(), arrived()).when(
        lambda s, _c: decide_open(s, SESSION, who, HANDS_ON)
    ).then(opened)
    given(CALENDAR, booked(), arrived(), opened).when(
        lambda s, _c: decide_open(s, SESSION, who, HANDS_ON)
    ).then()


@pytest.mark.parametrize(("minute", "field"), [(-1, "minute"), (61, "minute")])
def test_a_stop_has_a_minute_within_the_session(minute: int, field: str) -> None:
    scenario = given(CALENDAR, booked(), arrived()).when(
        lambda s, c: decide_stop(s, StopSession(session_id=SESSION, minute=minute), SETTINGS, c)
    )
    assert field in scenario.rejected("invalid", 400).fields


def stop(minute: int, **more: Any) -> Any:
    command = StopSession(session_id=SESSION, minute=minute, **more)
    return lambda s, c: decide_stop(s, command, SETTINGS, c)


def test_of_stops_of_touch_the_earliest_counts_and_a_later_one_is_told_so() -> None:
    stopped = (booked(), arrived(), SessionStopped(session_id=SESSION, minute=20))
    given(CALENDAR, *stopped).when(stop(20)).then()
    given(CALENDAR, *stopped).when(stop(21)).rejected("already_stopped", 409)
    earlier = SessionStopped(session_id=SESSION, minute=19)
    given(CALENDAR, *stopped).when(stop(19)).then(earlier)
    found = given(CALENDAR, *stopped, earlier).state.session(SESSION)
    assert [one.minute for one in found.stops] == [19]


@pytest.mark.parametrize("minute", [5, 20, 40])
def test_the_client_may_leave_after_touch_was_stopped_ruling_a8(minute: int) -> None:
    touch = SessionStopped(session_id=SESSION, minute=20)
    left = SessionStopped(session_id=SESSION, minute=minute, everything=True)
    given(CALENDAR, booked(), arrived(), touch).when(stop(minute, everything=True)).then(left)
    state = given(CALENDAR, booked(), arrived(), touch, left).state.session(SESSION)
    assert [(one.minute, one.everything) for one in state.stops] == [(20, False), (minute, True)]
    assert state.stop == state.end_stop
    again = given(CALENDAR, booked(), arrived(), touch, left)
    again.when(stop(minute, everything=True)).then()
    again.when(stop(minute + 1, everything=True)).rejected("already_stopped", 409)


def test_touch_may_have_stopped_before_the_client_left_and_not_after() -> None:
    left = SessionStopped(session_id=SESSION, minute=20, everything=True)
    scenario = given(CALENDAR, booked(), arrived(), left)
    scenario.when(stop(19)).then(SessionStopped(session_id=SESSION, minute=19))
    scenario.when(stop(20)).rejected("already_stopped", 409)


@pytest.mark.parametrize(
    ("minute", "now", "taken"),
    [
        (60, 30, True),
        (61, 60, False),
        (75, 75, True),
        (76, 75, False),
        (180, 500, True),
        (181, 500, False),
    ],
)
def test_a_stop_after_the_booked_end_is_taken_as_far_as_the_session_ran_over(
    minute: int, now: int, taken: bool
) -> None:
    at = AHEAD + timedelta(minutes=now)
    scenario = given(CALENDAR, booked(), arrived()).when(stop(minute), now=at)
    if taken:
        scenario.then(SessionStopped(session_id=SESSION, minute=minute))
    else:
        scenario.rejected("invalid", 400)


def test_the_minutes_of_a_session_opened_early_count_from_its_opening() -> None:
    opened = SessionOpened(session_id=SESSION, practitioner_id=UUID(int=112), permissions=HANDS_ON)
    early = (opened, AHEAD - timedelta(minutes=10))
    given(CALENDAR, booked(), arrived(), early).when(stop(70), now=AHEAD).then_kinds(SessionStopped)
    given(CALENDAR, booked(), arrived(), early).when(stop(71), now=AHEAD).rejected("invalid", 400)


def test_a_booked_session_cannot_be_stopped() -> None:
    given(CALENDAR, booked()).when(
        lambda s, c: decide_stop(s, StopSession(session_id=SESSION, minute=1), SETTINGS, c)
    ).rejected("session_status", 409)


@pytest.mark.parametrize(
    ("planned", "now", "flags"),
    [
        (Mode.HANDS_ON, Mode.SELF_DIRECTED, True),
        (Mode.HANDS_ON, Mode.NOT_TODAY, True),
        (Mode.SELF_DIRECTED, Mode.NOT_TODAY, True),
        (Mode.HANDS_ON, Mode.HANDS_ON, False),
        (Mode.SELF_DIRECTED, Mode.HANDS_ON, False),
        (Mode.SELF_DIRECTED, Mode.SELF_DIRECTED, False),
    ],
)
def test_only_a_narrower_judgement_flags_a_session(planned: Mode, now: Mode, flags: bool) -> None:
    session = given(CALENDAR, booked(planned_mode=planned)).state.session(SESSION)
    found = flag_if_narrowed(session, evaluated(now, RED_FLAG), "consent.withdrawn")
    assert [one.now for one in found] == ([now] if flags else [])


def test_a_flagged_session_is_flagged_again_only_when_it_narrows_further() -> None:
    flag = SessionFlagged(
        session_id=SESSION,
        was=Mode.HANDS_ON,
        now=Mode.SELF_DIRECTED,
        reasons=(RED_FLAG,),
        cause="consent.withdrawn",
    )
    session = given(CALENDAR, booked(), flag).state.session(SESSION)
    assert session.status is SessionStatus.BOOKED
    assert flag_if_narrowed(session, evaluated(Mode.SELF_DIRECTED, RED_FLAG), "again") == []
    assert flag_if_narrowed(session, evaluated(Mode.HANDS_ON), "consent.given") == []
    (further,) = flag_if_narrowed(session, evaluated(Mode.NOT_TODAY, RED_FLAG), "order.expired")
    assert (further.was, further.now) == (Mode.SELF_DIRECTED, Mode.NOT_TODAY)
