"""Every shipped number of the group session_split that a split or a load is made from.

Practice policy where no source is named; shares are read off long sessions, so that a step of
five minutes hides nothing.
"""

from __future__ import annotations

from typing import Any

import pytest

from practice.core.terms import Credential, SessionPart
from sessions.session_split.domain.loading_criteria import BodyFacts
from sessions.session_split.domain.share import (
    SessionSplitFacts,
    stretching_floor,
    stretching_share,
)
from sessions.session_split.domain.strength import StrengthSet, suggest_load
from sessions.session_split.domain.suggestion import suggest_split
from tests.sessions.shipped import HOUR

LATER = BodyFacts(sedentary=False, weeks_since_operation=20)


def facts(**changes: Any) -> SessionSplitFacts:
    values: dict[str, Any] = {
        "booked_minutes": 60,
        "credential": Credential.PHYSICAL_THERAPIST,
        "body": LATER,
    }
    return SessionSplitFacts(**{**values, **changes})


def share(**changes: Any) -> float:
    return stretching_share(facts(**changes), HOUR)[0]


def test_a_quarter_is_stretching_where_nothing_is_short() -> None:
    assert share(deficits=(0.0,)) == pytest.approx(0.25)


def test_the_whole_deficit_adds_six_tenths() -> None:
    assert share(deficits=(0.5,)) == pytest.approx(0.25 + 0.6 * 0.5)


@pytest.mark.parametrize(
    ("findings", "more"), [(0, 0.0), (1, 0.1), (2, 0.2), (3, 0.2)], ids=["none", "1", "2", "3"]
)
def test_each_posture_finding_adds_a_tenth_two_tenths_at_most(findings: int, more: float) -> None:
    assert share(posture_findings=findings) == pytest.approx(0.25 + more)


def test_stretching_takes_nine_tenths_at_most() -> None:
    assert share(deficits=(1.0,), posture_findings=2) == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("week", "least"), [(None, 0.75), (5, 0.75), (6, 0.5), (11, 0.5), (12, 0.2), (200, 0.2)]
)
def test_the_weeks_since_the_operation_keep_a_least_share(week: int | None, least: float) -> None:
    body = BodyFacts(sedentary=False, weeks_since_operation=week)
    assert stretching_floor(body, HOUR)[0] == pytest.approx(least)


@pytest.mark.parametrize(
    ("booked", "evaluation", "minutes"),
    [(60, False, 5), (90, False, 5), (60, True, 10), (44, False, 9), (49, True, 14)],
)
def test_measuring_takes_five_minutes_and_an_evaluation_ten_and_what_no_step_takes(
    booked: int, evaluation: bool, minutes: int
) -> None:
    # Of 44 minutes 39 are left: 35 in steps of five, the other four are for measuring too.
    parts = suggest_split(facts(booked_minutes=booked, evaluation=evaluation), HOUR).parts
    given = {one.part: one.minutes for one in parts}
    assert given[SessionPart.MEASURING_AND_TALK] == minutes


@pytest.mark.parametrize(
    ("week", "note"), [(None, "easy walking"), (5, "easy walking"), (6, "moderate")]
)
def test_cardio_is_easy_walking_before_week_six(week: int | None, note: str) -> None:
    body = BodyFacts(sedentary=False, weeks_since_operation=week)
    parts = suggest_split(facts(body=body), HOUR).parts
    assert next(one.note for one in parts if one.part is SessionPart.CARDIO) == note


@pytest.mark.parametrize(("swelling", "part"), [(False, 0.6), (True, 0.4)])
def test_a_load_is_six_tenths_of_the_maximum_four_with_swelling(
    swelling: bool, part: float
) -> None:
    # Brzycki: 36 w/(37 - r), the lower of the two for ten repetitions of 100 kg.
    found = suggest_load([StrengthSet(load=100, repetitions=10)], HOUR, swelling=swelling)
    assert found is not None
    assert found.load == pytest.approx(part * 36 * 100 / 27, abs=0.05)


@pytest.mark.parametrize(("swelling", "step"), [(False, 1.10), (True, 1.05)])
def test_a_load_rises_by_a_tenth_at_most_half_of_it_with_swelling(
    swelling: bool, step: float
) -> None:
    # A strong set of one repetition behind it would allow more than a step above the heaviest.
    sharper = {"strength_share": 2.0, "strength_share_swelling": 2.0}
    wide = type(HOUR)(**{name: getattr(HOUR, name) for name in HOUR.__struct_fields__} | sharper)
    found = suggest_load([StrengthSet(load=100, repetitions=10)], wide, swelling=swelling)
    assert found is not None
    assert found.load == pytest.approx(100 * step)


def test_strength_is_wanted_twice_a_week() -> None:
    # Campbell 2019, Med Sci Sports Exerc 51:2375: strength training two times a week.
    assert HOUR.strength_sessions_a_week == 2
