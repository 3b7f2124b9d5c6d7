"""What stands of a day's answers and stops, whichever session they were given in."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.health.domain.terms import RedFlag
from sessions.assessment.domain.day_answers import (
    DayAnswers,
    answers_for_other_session,
    answers_of_day,
)
from sessions.assessment.domain.standing_signs import StandingSigns, evaluated_until, standing_signs
from sessions.calendar.domain.session_state import SessionState, SessionStatus, SessionStop
from sessions.calendar.domain.signs import RaisedSign
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import HandsOnToday, SubmittedArrivalAnswers
from tests.dsl import given
from tests.sessions.booking.examples import AHEAD, SESSION, booked

CHEST = SubmittedArrivalAnswers(new_symptoms=(RedFlag.CHEST_PAIN,), hands_on_today=HandsOnToday.YES)
WELL = SubmittedArrivalAnswers(new_symptoms=(), hands_on_today=HandsOnToday.YES)
DAY = given(CALENDAR, booked()).state.session(SESSION).local_date


def session(
    number: int, answers: SubmittedArrivalAnswers | None, hours: float, **more: Any
) -> SessionState:
    one = given(CALENDAR, booked()).state.session(SESSION)
    at = AHEAD + timedelta(hours=hours) if answers is not None else None
    return replace(
        one,
        id=UUID(int=number),
        status=SessionStatus.ARRIVED,
        answers=answers,
        answered_at=at,
        **more,
    )


def stop(hours: float) -> SessionStop:
    return SessionStop(
        minute=5, everything=False, last_line_id=None, occurred_at=AHEAD + timedelta(hours=hours)
    )


def said(flag: RedFlag, hours: float, cleared_after: float | None = None) -> RaisedSign:
    at = AHEAD + timedelta(hours=hours)
    until = None if cleared_after is None else AHEAD + timedelta(hours=cleared_after)
    return RaisedSign(flag=flag, raised_at=at, raised_on=DAY, cleared_at=until)


CHEST_SAID = (said(RedFlag.CHEST_PAIN, 0),)


def test_the_latest_answers_of_the_day_count_and_a_red_flag_stands_whatever_the_order() -> None:
    morning, noon = session(1, CHEST, 0, signs=CHEST_SAID), session(2, WELL, 3)
    stands = StandingSigns(flags=frozenset({RedFlag.CHEST_PAIN}))
    for order in ([morning, noon], [noon, morning]):
        assert answers_of_day(order, DAY) == DayAnswers(WELL, None, noon.id, stands)


def test_a_red_flag_outlives_the_day_until_it_is_cleared_ruling_49() -> None:
    after = DAY + timedelta(days=1)
    standing = session(1, CHEST, 0, signs=CHEST_SAID)
    assert answers_of_day([standing], after).signs.flags == {RedFlag.CHEST_PAIN}
    assert answers_of_day([standing], DAY - timedelta(days=1)) == DayAnswers()
    cleared = session(1, CHEST, 0, signs=(said(RedFlag.CHEST_PAIN, 0, 24),))
    assert answers_of_day([cleared], after) == DayAnswers()
    assert answers_of_day([cleared], DAY).signs.cleared == {RedFlag.CHEST_PAIN}


def test_a_session_entered_late_does_not_lift_a_red_flag() -> None:
    morning, typed = (
        session(1, CHEST, 0, signs=CHEST_SAID),
        session(2, WELL, 3, late_entry=True),
    )
    assert answers_of_day([morning, typed], DAY).signs.flags == {RedFlag.CHEST_PAIN}


@pytest.mark.parametrize(("hours", "stands"), [(0.5, False), (1, True)])
def test_a_clearing_counts_for_a_session_only_before_its_end(hours: float, stands: bool) -> None:
    morning = session(1, CHEST, 0, signs=(said(RedFlag.CHEST_PAIN, 0, hours),))
    end = evaluated_until(morning)
    assert end == AHEAD + timedelta(hours=1)
    found = standing_signs([morning], DAY, answered_in=morning.id, at=end - timedelta(minutes=1))
    assert (found.flags == {RedFlag.CHEST_PAIN}) is stands


def test_a_stop_counts_until_the_client_answers_again() -> None:
    stopped = session(1, WELL, 0, touch_stop=stop(1))
    assert answers_of_day([stopped], DAY).stop == stop(1)
    assert answers_of_day([stopped, session(2, WELL, 3)], DAY).stop is None


@pytest.mark.parametrize("answer", HandsOnToday)
def test_a_yes_to_one_session_is_no_yes_to_the_next(answer: HandsOnToday) -> None:
    answers = msgspec.structs.replace(CHEST, hands_on_today=answer)
    carried = answers_for_other_session(answers)
    assert carried.hands_on_today is not HandsOnToday.YES
    assert carried.new_symptoms == CHEST.new_symptoms


def test_a_sign_stands_from_its_saying_up_to_its_clearing() -> None:
    sign = said(RedFlag.FEVER, 0, 1)
    instants = (-0.1, 0, 0.9, 1)
    stood = [sign.stands(AHEAD + timedelta(hours=one)) for one in instants]
    assert stood == [False, True, True, False]
    assert not sign.stands()
