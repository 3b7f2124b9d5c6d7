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
from sessions.calendar.domain.events import HandsOnToday, SubmittedArrivalAnswers
from sessions.calendar.domain.state import CALENDAR, SessionState, SessionStatus, SessionStop
from tests.dsl import given
from tests.sessions.booking.examples import AHEAD, SESSION, booked

CHEST = SubmittedArrivalAnswers(new_symptoms=(RedFlag.CHEST_PAIN,), hands_on_today=HandsOnToday.YES)
WELL = SubmittedArrivalAnswers(new_symptoms=(), hands_on_today=HandsOnToday.YES)
DAY = given(CALENDAR, booked()).state.session(SESSION).local_date


def red_flags(answers: SubmittedArrivalAnswers) -> frozenset[RedFlag]:
    return frozenset(answers.new_symptoms or ())


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


def test_the_latest_answers_of_the_day_count_whatever_the_order() -> None:
    morning, noon = session(1, CHEST, 0), session(2, WELL, 3)
    for order in ([morning, noon], [noon, morning]):
        assert answers_of_day(order, DAY, red_flags) == DayAnswers(WELL, None, noon.id, frozenset())
    assert answers_of_day([morning, noon], DAY + timedelta(days=1), red_flags) == DayAnswers()


def test_a_session_entered_late_does_not_lift_a_red_flag() -> None:
    morning, typed = session(1, CHEST, 0), session(2, WELL, 3, late_entry=True)
    found = answers_of_day([morning, typed], DAY, red_flags)
    assert (found.session_id, found.red_flags) == (morning.id, frozenset({RedFlag.CHEST_PAIN}))
    worse = session(3, CHEST, 4, late_entry=True)
    assert answers_of_day([session(1, WELL, 0), worse], DAY, red_flags).session_id == worse.id


def test_a_stop_counts_until_she_answers_again() -> None:
    stopped = session(1, WELL, 0, stop=stop(1))
    assert answers_of_day([stopped], DAY, red_flags).stop == stop(1)
    assert answers_of_day([stopped, session(2, WELL, 3)], DAY, red_flags).stop is None


@pytest.mark.parametrize("said", HandsOnToday)
def test_a_yes_to_one_session_is_no_yes_to_the_next(said: HandsOnToday) -> None:
    answers = msgspec.structs.replace(CHEST, hands_on_today=said)
    carried = answers_for_other_session(answers, None)
    assert carried.hands_on_today is not HandsOnToday.YES
    assert carried.new_symptoms == CHEST.new_symptoms
    assert answers_for_other_session(answers, WELL).hands_on_today is HandsOnToday.YES
