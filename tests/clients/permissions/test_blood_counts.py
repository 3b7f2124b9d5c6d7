"""Ruling 51: blood counts by their bands, their age, and what is not known in chemotherapy."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest

from clients.clinical.domain.limbs import LoadedLimb
from clients.health.domain.content import BloodCount, Condition
from clients.health.domain.terms import BloodCountKind, ConditionKind, RedFlag
from clients.orders.domain.terms import OrderSubject, Prescriber
from clients.permissions.domain.inputs import PermissionFacts
from practice.core.terms import Mode
from tests.clients.permissions import given as g

NEUTROPHILS, PLATELETS = BloodCountKind.NEUTROPHILS, BloodCountKind.PLATELETS
HEMOGLOBIN = BloodCountKind.HEMOGLOBIN
CHEMOTHERAPY = Condition(id=UUID(int=72), kind=ConditionKind.CHEMOTHERAPY)


def ago(days: int) -> date:
    return g.DAY - timedelta(days=days)


def count(kind: BloodCountKind, value: float, days_old: int = 1) -> BloodCount:
    return BloodCount(id=UUID(int=73), kind=kind, value=value, drawn_on=ago(days_old))


def counted(*counts: BloodCount, told: str = "reviewed", **content: Any) -> PermissionFacts:
    history = g.history(blood_counts=counts, **content)
    return g.facts(**({"reviewed": history} if told == "reviewed" else {"reported": (history,)}))


def modes(known: PermissionFacts) -> tuple[Mode, Mode]:
    """Of a flexion: active isolated, and contract-relax."""
    return (
        g.stretch_permission(known, g.FLEXION, g.AI).mode,
        g.stretch_permission(known, g.FLEXION, g.CR).mode,
    )


def load(known: PermissionFacts) -> tuple[bool, set[str]]:
    arm = next(one for one in g.evaluated(known).load if one.limb is LoadedLimb.LEFT_ARM)
    return arm.open, {one.code for one in (*arm.cautions, *arm.reasons)}


def warned(known: PermissionFacts) -> set[str]:
    return {one.code for one in g.evaluated(known).warnings}


HANDS, ALONE, NOT = Mode.HANDS_ON, Mode.SELF_DIRECTED, Mode.NOT_TODAY


@pytest.mark.parametrize("told", ["reviewed", "reported"])
@pytest.mark.parametrize(
    ("value", "active", "relax"),
    [
        (50, HANDS, HANDS),
        (49.9, HANDS, NOT),
        (20.1, HANDS, NOT),
        (20, NOT, NOT),
        (19.9, NOT, NOT),
    ],
)
def test_few_platelets_close_assisted_techniques_and_very_few_all_but_walking(
    told: str, value: float, active: Mode, relax: Mode
) -> None:
    # Ng 2018 (50 or more for massage); PM R 2017 table 2; the rest is practice policy.
    known = counted(count(PLATELETS, value), told=told)
    assert modes(known) == (active, relax)
    breathing = g.stretch_permission(known, g.BREATHING)
    assert breathing.mode is not NOT
    by_hand = "blood.platelets_hands_on" in {one.code for one in g.evaluated(known).reasons}
    assert by_hand is (value < 20)


@pytest.mark.parametrize(("value", "mode"), [(60, ALONE), (20, NOT)])
def test_a_history_that_nobody_has_reviewed_narrows_what_a_client_does_alone(
    value: float, mode: Mode
) -> None:
    """By hand nothing is done without a review; very few platelets close stretching alone too."""
    told = g.history(blood_counts=(count(PLATELETS, value),))
    known = g.facts(reviewed=None, reported=(told,))
    assert g.stretch_permission(known, g.FLEXION, g.AI).mode is mode


@pytest.mark.parametrize(
    ("value", "is_open", "code"),
    [
        (50.1, True, None),
        (50, True, "blood.platelets_moderate"),
        (30.1, True, "blood.platelets_moderate"),
        (30, False, "blood.platelets_load"),
        (10, False, "blood.platelets_load"),
    ],
)
def test_the_load_by_platelets(value: float, is_open: bool, code: str | None) -> None:
    found, codes = load(counted(count(PLATELETS, value)))
    assert found is is_open
    assert {one for one in codes if one.startswith("blood.")} == ({code} if code else set())


@pytest.mark.parametrize(("days_old", "known_now"), [(0, True), (7, True), (8, False)])
def test_a_count_is_good_for_seven_days(days_old: int, known_now: bool) -> None:
    good = counted(count(PLATELETS, 200, days_old), conditions=(CHEMOTHERAPY,))
    assert modes(good) == (HANDS, HANDS if known_now else NOT)
    assert ("blood.platelets_moderate" in load(good)[1]) is not known_now


def test_what_is_not_known_counts_as_the_second_band_in_chemotherapy_only() -> None:
    assert modes(counted()) == (HANDS, HANDS)
    in_chemotherapy = counted(conditions=(CHEMOTHERAPY,))
    assert modes(in_chemotherapy) == (HANDS, NOT)
    assert load(in_chemotherapy)[0] is True
    assert {"blood.hemoglobin", "blood.neutrophils_precautions"} <= warned(in_chemotherapy)
    for kind in (ConditionKind.LOW_PLATELETS,):
        assert modes(counted(conditions=(g.condition(kind),))) == (HANDS, NOT)
    assert "blood.hemoglobin" in warned(counted(conditions=(g.condition(ConditionKind.ANEMIA),)))
    named = counted(conditions=(g.condition(ConditionKind.NEUTROPENIA),))
    assert "blood.neutrophils_precautions" in warned(named)


@pytest.mark.parametrize(("ended", "relax"), [(21, NOT), (22, HANDS)])
def test_chemotherapy_counts_for_weeks_after_its_last_day(ended: int, relax: Mode) -> None:
    course = Condition(
        id=UUID(int=72), kind=ConditionKind.CHEMOTHERAPY, since=ago(200), until=ago(ended)
    )
    assert modes(counted(conditions=(course,)))[1] is relax
    planned = Condition(id=UUID(int=72), kind=ConditionKind.CHEMOTHERAPY, since=ago(-1))
    assert modes(counted(conditions=(planned,))) == (HANDS, HANDS)


def test_growing_old_makes_no_count_better_and_the_latest_counts() -> None:
    assert modes(counted(count(PLATELETS, 15, 30))) == (NOT, NOT)
    assert load(counted(count(PLATELETS, 25, 30)))[0] is False
    assert modes(counted(count(PLATELETS, 49, 30))) == (HANDS, NOT)
    assert modes(counted(count(PLATELETS, 50, 30))) == (HANDS, HANDS)
    two = counted(count(PLATELETS, 15, 5), count(PLATELETS, 200, 2))
    assert modes(two) == (HANDS, HANDS)
    same_day = counted(count(PLATELETS, 15, 2), count(PLATELETS, 200, 2))
    assert modes(same_day) == (NOT, NOT)
    tomorrow = counted(count(PLATELETS, 15, -1))
    assert modes(tomorrow) == (HANDS, HANDS), "it was not drawn yet on that day"


def test_a_reported_good_count_opens_nothing_that_the_review_left_closed() -> None:
    low = g.history(blood_counts=(count(PLATELETS, 15),))
    good = g.history(blood_counts=(count(PLATELETS, 200, 0),))
    assert modes(g.facts(reviewed=low, reported=(good,))) == (NOT, NOT)


@pytest.mark.parametrize(("value", "warns"), [(1500, False), (1499, True)])
def test_precautions_from_few_neutrophils_on(value: float, warns: bool) -> None:
    found = "blood.neutrophils_precautions" in warned(counted(count(NEUTROPHILS, value)))
    assert found is warns


@pytest.mark.parametrize(("value", "closed"), [(1000, False), (999, True)])
def test_few_neutrophils_and_a_sign_of_infection_close_the_day(value: float, closed: bool) -> None:
    known = counted(count(NEUTROPHILS, value))
    arrival = g.arrival(signs=(RedFlag.HOT_RED_OR_BLOTCHY_LIMB,))
    session = g.evaluated(g.facts(known, arrival=arrival))
    assert ("blood.infection" in g.codes(session)) is closed
    assert "blood.infection" not in g.codes(g.evaluated(known)), "no sign of infection today"


@pytest.mark.parametrize(("value", "mode"), [(500, HANDS), (499, ALONE)])
def test_very_few_neutrophils_need_a_clearance_for_hands_on(value: float, mode: Mode) -> None:
    known = counted(count(NEUTROPHILS, value, 3))
    assert modes(known)[0] is mode
    for given_on, cleared in ((ago(3), True), (ago(4), False)):
        order = g.clearance_order(
            OrderSubject.WORK_WITH_LOW_COUNTS,
            sites=(),
            given_on=given_on,
            prescriber=Prescriber.PHYSICIAN,
        )
        assert modes(g.facts(known, orders=(order,)))[0] is (HANDS if cleared else mode)


@pytest.mark.parametrize(("value", "warns"), [(8, False), (7.9, True)])
def test_low_hemoglobin_keeps_it_short(value: float, warns: bool) -> None:
    known = counted(count(HEMOGLOBIN, value))
    assert ("blood.hemoglobin" in warned(known)) is warns
    assert ("blood.hemoglobin" in load(known)[1]) is warns
    assert load(known)[0] is True
