"""Heart-rate zones and one-repetition maxima against published formulas."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.core.reasons import Rejected
from sessions.session_split.domain.cardio import (
    RESERVE,
    Intensity,
    cardio_zones,
    maximum_heart_rate,
    reserve_target,
    week_against_guideline,
)
from sessions.session_split.domain.strength import StrengthSet, brzycki, epley, suggest_load
from tests.sessions.shipped import HOUR


def test_heart_rate_reserve_agrees_with_the_quoted_example():
    # Age 40, rest 60, 70 % with 220 − age = 180 -> 144 (quoted).
    assert reserve_target(60, 220 - 40, 0.70) == pytest.approx(144)


@pytest.mark.parametrize(("age", "greatest"), [(20, 194), (40, 180), (65, 162.5)])
def test_greatest_heart_rate_is_tanakas(age, greatest):
    # Tanaka 2001: 208 − 0.7·age.
    assert maximum_heart_rate(age) == pytest.approx(greatest)


def test_bands_are_those_of_the_position_stand():
    # Garber 2011, ACSM: reserve 30–39, 40–59, 60–89 %; exertion 9–11, 12–13, 14–17.
    found = cardio_zones(40, 60, HOUR, beta_blocker=False)
    assert [(z.intensity, z.beats, z.exertion) for z in found.zones] == [
        (Intensity.LIGHT, (96, 107), (9, 11)),
        (Intensity.MODERATE, (108, 131), (12, 13)),
        (Intensity.VIGOROUS, (132, 167), (14, 17)),
    ]
    assert "Tanaka 2001" in found.formula


@pytest.mark.parametrize(
    ("rest", "blocker", "code", "source"),
    [
        (60, True, "beta_blocker", "common practice, no source"),
        (None, True, "beta_blocker", "common practice, no source"),
        (None, False, "no_resting_rate", RESERVE),
    ],
)
def test_where_heart_rate_misleads_exertion_is_used(rest, blocker, code, source):
    found = cardio_zones(60, rest, HOUR, beta_blocker=blocker)
    assert all(z.beats is None for z in found.zones)
    assert [z.exertion for z in found.zones] == [(9, 11), (12, 13), (14, 17)]
    # The position stand gives the bands; that a beta-blocker misleads is no sentence of it.
    assert [(one.code, one.source) for one in found.reasons] == [(code, source)]


@pytest.mark.parametrize(("age", "rest"), [(-1, 60), (130, 60), (50, 10), (50, 200)])
def test_impossible_ages_and_rates_are_refused(age, rest):
    with pytest.raises(Rejected):
        cardio_zones(age, rest, HOUR, beta_blocker=False)


def test_a_week_is_held_against_three_times_thirty_minutes():
    # Campbell 2019, Med Sci Sports Exerc 51:2375: 3×/week 30 min moderate.
    assert not week_against_guideline([30, 30, 29], HOUR).reached
    assert week_against_guideline([45, 45], HOUR).reached


def test_one_repetition_maxima_agree_with_the_published_formulas():
    # Epley w(1 + r/30), Brzycki 36w/(37 − r): 100 kg × 5 -> 116.67 and 112.50.
    assert epley(100, 5) == pytest.approx(116.67, abs=0.005)
    assert brzycki(100, 5) == pytest.approx(112.50, abs=0.005)


@pytest.mark.parametrize("repetitions", [0, 11, 36, 37, -1])
def test_nothing_is_estimated_outside_one_to_ten_repetitions(repetitions):
    for formula in (epley, brzycki):
        with pytest.raises(Rejected):
            formula(50, repetitions)


def test_sets_above_ten_repetitions_are_not_used():
    assert suggest_load([StrengthSet(load=20, repetitions=15)], HOUR, swelling=False) is None
    mixed = [StrengthSet(load=20, repetitions=15), StrengthSet(load=10, repetitions=8)]
    found = suggest_load(mixed, HOUR, swelling=False)
    assert found.epley == pytest.approx(epley(10, 8), abs=0.005)


def test_with_swelling_the_load_starts_lower():
    sets = [StrengthSet(load=10, repetitions=10)]
    usual = suggest_load(sets, HOUR, swelling=False)
    swollen = suggest_load(sets, HOUR, swelling=True)
    assert swollen.load < usual.load
    assert "swelling" in swollen.why


@given(
    st.lists(
        st.builds(StrengthSet, load=st.floats(0.5, 200), repetitions=st.integers(1, 10)), min_size=1
    ),
    st.booleans(),
)
def test_a_load_never_rises_more_than_a_step_above_the_heaviest_recent_set(sets, swelling):
    found = suggest_load(sets, HOUR, swelling=swelling)
    step = 5 if swelling else 10
    assert found.load <= max(s.load for s in sets) * (1 + step / 100) + 0.05
