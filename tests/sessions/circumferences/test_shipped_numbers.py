"""Every shipped number of the group swelling at its boundary, both sides.

Practice policy where no source is named.
"""

from __future__ import annotations

from uuid import UUID

import pytest

from practice.core.reasons import Rejected
from practice.core.terms import Side
from sessions.measurements.domain.confirmation import doubts_of_profile
from sessions.measurements.domain.events import CircumferencesMeasured
from sessions.measurements.domain.swelling import (
    SwellingBasis,
    SwellingComparison,
    evaluate_circumferences,
    refer_reasons,
)
from sessions.measurements.domain.volume import check_circumferences
from tests.sessions.shipped import SWELLING

ARM = (20.0, 22.0)


def taken(left: tuple[float, ...] = ARM, right: tuple[float, ...] = ARM, interval: float = 4):
    return CircumferencesMeasured(
        circumferences_id=UUID(int=1),
        interval_cm=interval,
        left=left,
        right=right,
        rater_id=UUID(int=2),
    )


@pytest.mark.parametrize(
    ("circumference", "possible"), [(7.9, False), (8, True), (90, True), (90.1, False)]
)
def test_an_arm_measures_8_to_90_cm_around(circumference: float, possible: bool) -> None:
    arm = (circumference, circumference)
    if possible:
        check_circumferences(arm, arm, 4, SWELLING)
        return
    with pytest.raises(Rejected) as refusal:
        check_circumferences(arm, arm, 4, SWELLING)
    assert "possible is 8 to 90 cm" in refusal.value.fields["left"]


@pytest.mark.parametrize(
    ("interval", "possible"), [(0.9, False), (1, True), (12, True), (12.1, False)]
)
def test_points_are_1_to_12_cm_apart(interval: float, possible: bool) -> None:
    if possible:
        check_circumferences(ARM, ARM, interval, SWELLING)
        return
    with pytest.raises(Rejected) as refusal:
        check_circumferences(ARM, ARM, interval, SWELLING)
    assert "1 to 12 cm" in refusal.value.fields["interval_cm"]


@pytest.mark.parametrize(("points", "possible"), [(1, False), (2, True), (20, True), (21, False)])
def test_an_arm_has_2_to_20_points(points: int, possible: bool) -> None:
    arm = (20.0,) * points
    if possible:
        check_circumferences(arm, arm, 4, SWELLING)
        return
    with pytest.raises(Rejected) as refusal:
        check_circumferences(arm, arm, 4, SWELLING)
    assert "2 to 20" in refusal.value.fields["left"]


@pytest.mark.parametrize(("more", "referred"), [(199.9, False), (200, True)])
def test_200_ml_more_are_referred(more: float, referred: bool) -> None:
    # Armer & Stewart 2005; Stanton 2000.
    found = SwellingComparison(
        side=Side.LEFT, basis=SwellingBasis.OWN_BASELINE, percent=9.0, millilitres=more
    )
    codes = {one.code for one in refer_reasons(found, SWELLING)}
    assert codes == ({"swelling_volume"} if referred else set())


@pytest.mark.parametrize(("months", "told"), [(None, False), (3, False), (3.1, True)])
def test_the_higher_risk_is_told_beyond_3_months(months: float | None, told: bool) -> None:
    # Specht 2013: an increase of 5 to <10 % beyond 3 months after surgery.
    grown = tuple(one * 1.06**0.5 for one in ARM)
    found = evaluate_circumferences(
        taken(left=grown), taken(), frozenset({Side.LEFT}), SWELLING, months_since_operation=months
    )
    assert ("Beyond 3 months" in found.reasons[0].text) is told


@pytest.mark.parametrize("interval", [1.0, 4.0])
@pytest.mark.parametrize(("step", "usual"), [(1.5, True), (1.51, False)])
def test_neighbours_differ_by_one_and_a_half_centimetres_for_each_between_them(
    interval: float, step: float, usual: bool
) -> None:
    even = (20.0, 20.0)
    now = taken(left=(20.0, 20.0 + step * interval), right=even, interval=interval)
    doubted = [one.field for one in doubts_of_profile(now, None, SWELLING)]
    assert doubted == ([] if usual else ["left"])


@pytest.mark.parametrize(
    ("now", "usual"), [(24.0, True), (24.1, False), (16.0, True), (15.9, False)]
)
def test_a_point_changes_by_a_fifth_since_last_time_at_most(now: float, usual: bool) -> None:
    doubted = list(doubts_of_profile(taken(right=(now, 20.0)), taken(right=(20.0, 20.0)), SWELLING))
    assert [one.field for one in doubted] == ([] if usual else ["right"])
