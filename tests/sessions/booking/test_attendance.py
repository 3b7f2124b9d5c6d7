"""Arrived, absent, opened, stopped, and the flag of a session that narrowed."""

from __future__ import annotations

from datetime import timedelta
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
    HandsOnToday,
    SessionArrived,
    SessionFlagged,
    SessionMarkedNoShow,
    SessionOpened,
    SessionStopped,
    SubmittedArrivalAnswers,
)
from sessions.calendar.domain.state import CALENDAR, SessionStatus
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
        lambda s, c: decide_stop(s, StopSession(session_id=SESSION, minute=minute), c)
    )
    assert field in scenario.rejected("invalid", 400).fields


def test_a_stop_is_kept_and_only_an_earlier_one_counts_after_it() -> None:
    stopped = SessionStopped(session_id=SESSION, minute=20)
    scenario = given(CALENDAR, booked(), arrived(), stopped)
    assert scenario.state.session(SESSION).stop.minute == 20
    scenario.when(lambda s, c: decide_stop(s, StopSession(session_id=SESSION, minute=30), c)).then()
    scenario.when(lambda s, c: decide_stop(s, StopSession(session_id=SESSION, minute=10), c)).then(
        SessionStopped(session_id=SESSION, minute=10)
    )


def test_a_booked_session_cannot_be_stopped() -> None:
    given(CALENDAR, booked()).when(
        lambda s, c: decide_stop(s, StopSession(session_id=SESSION, minute=1), c)
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
