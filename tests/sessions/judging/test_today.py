"""What stands of a day's answers and stops, whichever session they were given in."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.domain.terms import RedFlag
from sessions.domain.calendar.events import Answers, HandsOnToday
from sessions.domain.calendar.state import CALENDAR, Booked, Status, Stop
from sessions.domain.judging.today import Today, for_another, today
from tests.dsl import given
from tests.sessions.calendar.examples import AHEAD, SESSION, booked

CHEST = Answers(new_symptoms=(RedFlag.CHEST_PAIN,), hands_on_today=HandsOnToday.YES)
WELL = Answers(new_symptoms=(), hands_on_today=HandsOnToday.YES)
DAY = given(CALENDAR, booked()).state.session(SESSION).local_date


def red(answers: Answers) -> frozenset[RedFlag]:
    return frozenset(answers.new_symptoms or ())


def session(number: int, answers: Answers | None, hours: float, **more: Any) -> Booked:
    one = given(CALENDAR, booked()).state.session(SESSION)
    at = AHEAD + timedelta(hours=hours) if answers is not None else None
    return replace(
        one,
        id=UUID(int=number),
        status=Status.ARRIVED,
        answers=answers,
        answered_at=at,
        **more,
    )


def stop(hours: float) -> Stop:
    return Stop(minute=5, everything=False, last_line_id=None, at=AHEAD + timedelta(hours=hours))


def test_the_latest_answers_of_the_day_count_whatever_the_order() -> None:
    morning, noon = session(1, CHEST, 0), session(2, WELL, 3)
    for order in ([morning, noon], [noon, morning]):
        assert today(order, DAY, red) == Today(WELL, None, noon.id, frozenset())
    assert today([morning, noon], DAY + timedelta(days=1), red) == Today()


def test_a_session_entered_late_does_not_lift_a_red_flag() -> None:
    morning, typed = session(1, CHEST, 0), session(2, WELL, 3, late=True)
    found = today([morning, typed], DAY, red)
    assert (found.session_id, found.red) == (morning.id, frozenset({RedFlag.CHEST_PAIN}))
    worse = session(3, CHEST, 4, late=True)
    assert today([session(1, WELL, 0), worse], DAY, red).session_id == worse.id


def test_a_stop_counts_until_she_answers_again() -> None:
    stopped = session(1, WELL, 0, stop=stop(1))
    assert today([stopped], DAY, red).stop == stop(1)
    assert today([stopped, session(2, WELL, 3)], DAY, red).stop is None


@pytest.mark.parametrize("said", HandsOnToday)
def test_a_yes_to_one_session_is_no_yes_to_the_next(said: HandsOnToday) -> None:
    answers = msgspec.structs.replace(CHEST, hands_on_today=said)
    carried = for_another(answers, None)
    assert carried.hands_on_today is not HandsOnToday.YES
    assert carried.new_symptoms == CHEST.new_symptoms
    assert for_another(answers, WELL).hands_on_today is HandsOnToday.YES
