"""Arm volume and swelling against published formulas and thresholds."""

from __future__ import annotations

from itertools import pairwise
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from practice.core.reasons import Rejected
from practice.core.terms import Side
from sessions.measurements.domain.events import CircumferencesMeasured
from sessions.measurements.domain.swelling import (
    SwellingAdvice,
    SwellingBasis,
    evaluate_circumferences,
    growing_sides,
)
from sessions.measurements.domain.volume import (
    check_circumferences,
    cone_ml,
    relative_volume_change,
    volume_ml,
)
from tests.sessions.shipped import SWELLING

BASE = (16.0, 18.0, 21.0, 24.0, 26.0, 28.0)
LEFT, RIGHT, BOTH = (
    frozenset({Side.LEFT}),
    frozenset({Side.RIGHT}),
    frozenset({Side.LEFT, Side.RIGHT}),
)


def circumferences(left=BASE, right=BASE, **more):
    return CircumferencesMeasured(
        circumferences_id=UUID(int=1),
        interval_cm=4.0,
        left=left,
        right=right,
        rater_id=UUID(int=2),
        **more,
    )


def scaled(by):
    return tuple(g * by**0.5 for g in BASE)


def test_a_cone_of_26_and_28_cm_over_4_cm_holds_232_15_millilitres():
    # Standard formula h/(12π)·(C1² + C1·C2 + C2²): 4/(12π)·(676 + 728 + 784).
    assert cone_ml(26, 28, 4) == pytest.approx(232.15, abs=0.005)
    assert volume_ml((26, 28), 4) == pytest.approx(232.15, abs=0.005)


def test_a_limb_is_its_cones_stacked():
    assert volume_ml(BASE, 4) == pytest.approx(sum(cone_ml(a, b, 4) for a, b in pairwise(BASE)))


def test_relative_volume_change_is_ancukiewiczs_formula():
    # Ancukiewicz 2011, Int J Radiat Oncol Biol Phys 79:1436: (A2·U1)/(U2·A1) − 1.
    assert relative_volume_change(2000, 2000, 2200, 2000) == pytest.approx(0.10)
    # A limb of one such cone, grown to 27 and 29 cm beside one that stayed: 249.66/232.15 − 1.
    grown, stayed = volume_ml((27, 29), 4), volume_ml((26, 28), 4)
    assert relative_volume_change(stayed, stayed, grown, stayed) == pytest.approx(0.0754, abs=5e-5)
    # Each arm's own share: (2310·1900)/(1995·2000) − 1.
    assert relative_volume_change(2000, 1900, 2310, 1995) == pytest.approx(0.10)
    # Weight gain in both arms is no swelling.
    assert relative_volume_change(2000, 1900, 2200, 2090) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("by", "advice"),
    [
        (1.04, SwellingAdvice.NONE),
        (1.05, SwellingAdvice.AGAIN),
        (1.099, SwellingAdvice.AGAIN),
        (1.10, SwellingAdvice.REFER),
    ],
)
def test_five_percent_is_watched_and_ten_referred(by, advice):
    # Refer at 10 %: Armer & Stewart 2005, Stanton 2000; watch 5 to <10 %: Specht 2013.
    small = tuple(g * 0.6 for g in BASE)  # small arms, so that the volume alone decides
    grown = tuple(g * by**0.5 for g in small)
    found = evaluate_circumferences(
        circumferences(left=grown, right=small),
        circumferences(left=small, right=small),
        LEFT,
        SWELLING,
    )
    assert found.comparisons[0].basis is SwellingBasis.RELATIVE_VOLUME_CHANGE
    assert found.advice is advice
    assert (found.remeasure_in_weeks == 4) is (advice is SwellingAdvice.AGAIN)


def test_two_centimetres_at_one_point_are_referred():
    # Armer & Stewart 2005: 2 cm.
    left = (*BASE[:-1], BASE[-1] + 2.0)
    found = evaluate_circumferences(circumferences(left=left), circumferences(), LEFT, SWELLING)
    assert "swelling_circumference" in {r.code for r in found.reasons}
    less = (*BASE[:-1], BASE[-1] + 1.9)
    assert (
        evaluate_circumferences(circumferences(left=less), circumferences(), LEFT, SWELLING).advice
        is SwellingAdvice.NONE
    )


def test_two_hundred_millilitres_are_referred():
    # Armer & Stewart 2005; Stanton 2000: 200 mL. Large arms, so that 10 % is not reached.
    large = tuple(g * 1.8 for g in BASE)
    grown = tuple(g * 1.09**0.5 for g in large)
    found = evaluate_circumferences(
        circumferences(left=grown, right=large),
        circumferences(left=large, right=large),
        LEFT,
        SWELLING,
    )
    assert {r.code for r in found.reasons} >= {"swelling_volume"}
    assert found.comparisons[0].millilitres >= 200
    assert found.comparisons[0].percent < 10


def test_new_heaviness_alone_is_referred():
    found = evaluate_circumferences(
        circumferences(new_heaviness=True), circumferences(), LEFT, SWELLING
    )
    assert (found.advice, [r.code for r in found.reasons]) == (
        SwellingAdvice.REFER,
        ["new_heaviness"],
    )


def test_without_a_baseline_the_arms_are_compared_and_the_answer_says_so():
    found = evaluate_circumferences(circumferences(right=scaled(1.12)), None, RIGHT, SWELLING)
    assert found.comparisons[0].basis is SwellingBasis.BETWEEN_ARMS
    assert found.comparisons[0].percent == pytest.approx(12)
    assert found.advice is SwellingAdvice.REFER


def test_both_sides_operated_are_compared_with_their_own_baseline_only():
    found = evaluate_circumferences(
        circumferences(left=scaled(1.2), right=scaled(1.2)), circumferences(), BOTH, SWELLING
    )
    assert {c.basis for c in found.comparisons} == {SwellingBasis.OWN_BASELINE}
    assert found.advice is SwellingAdvice.REFER
    nothing = evaluate_circumferences(circumferences(left=scaled(1.2)), None, BOTH, SWELLING)
    assert {c.basis for c in nothing.comparisons} == {SwellingBasis.NOTHING}
    assert nothing.advice is SwellingAdvice.NONE


def test_a_baseline_taken_at_other_points_is_no_baseline():
    other = CircumferencesMeasured(
        circumferences_id=UUID(int=3), interval_cm=6.0, left=BASE, right=BASE, rater_id=UUID(int=2)
    )
    found = evaluate_circumferences(circumferences(), other, LEFT, SWELLING)
    assert found.comparisons[0].basis is SwellingBasis.BETWEEN_ARMS


def test_beyond_three_months_the_watch_says_what_specht_found():
    found = evaluate_circumferences(
        circumferences(left=scaled(1.06)),
        circumferences(),
        LEFT,
        SWELLING,
        months_since_operation=5,
    )
    assert "2.97" in found.reasons[0].text
    assert found.reasons[0].source.endswith("Specht 2013")


@pytest.mark.parametrize(
    ("left", "right", "field"),
    [
        ((5.0, 20.0), (20.0, 20.0), "left"),
        ((20.0, 20.0), (20.0, 200.0), "right"),
        ((20.0, 20.0, 20.0), (20.0, 20.0), "right"),
        ((20.0,), (20.0,), "left"),
        ((20.0, float("nan")), (20.0, 20.0), "left"),
    ],
)
def test_impossible_circumferences_are_refused_by_name(left, right, field):
    with pytest.raises(Rejected) as caught:
        check_circumferences(left, right, 4, SWELLING)
    assert (caught.value.status, list(caught.value.fields)) == (400, [field])


@given(st.lists(st.floats(12, 60), min_size=2, max_size=8), st.floats(1.0, 1.5))
def test_a_thicker_arm_never_has_less_volume(arm, by):
    assert volume_ml([g * by for g in arm], 4) >= volume_ml(arm, 4) - 1e-9


@given(st.floats(1.0, 1.4), st.floats(0, 0.2))
def test_more_swelling_never_gives_milder_advice(by, more):
    order = [SwellingAdvice.NONE, SwellingAdvice.AGAIN, SwellingAdvice.REFER]
    mild = evaluate_circumferences(
        circumferences(left=scaled(by)), circumferences(), LEFT, SWELLING
    ).advice
    severe = evaluate_circumferences(
        circumferences(left=scaled(by + more)), circumferences(), LEFT, SWELLING
    ).advice
    assert order.index(severe) >= order.index(mild)


@pytest.mark.parametrize(("percent", "sides"), [(4.9, ()), (5.0, (Side.LEFT,))])
def test_an_arm_grows_from_five_percent_since_the_set_before(percent, sides):
    # Ruling 53; Specht 2013: 5 to <10 % beyond 3 months raises the risk of reaching 10 %.
    now = circumferences(left=scaled(1 + percent / 100))
    assert growing_sides(now, circumferences(), frozenset(), SWELLING) == sides


def test_without_a_like_set_nothing_is_known_to_grow_but_new_heaviness_counts():
    now, shorter = circumferences(left=scaled(1.2)), circumferences(BASE[:4], BASE[:4])
    assert growing_sides(now, None, LEFT, SWELLING) == ()
    assert growing_sides(now, shorter, LEFT, SWELLING) == ()
    heavy = circumferences(new_heaviness=True)
    assert growing_sides(heavy, None, RIGHT, SWELLING) == (Side.RIGHT,)
    assert growing_sides(heavy, None, frozenset(), SWELLING) == (Side.LEFT, Side.RIGHT)
