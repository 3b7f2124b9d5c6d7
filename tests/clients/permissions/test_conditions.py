"""Bone, clots, cords, shoulders and skin: what a condition on record leaves open."""

from __future__ import annotations

from datetime import date, timedelta

import msgspec
import pytest

from clients.health.domain.content import RangeLimit
from clients.health.domain.terms import ConditionKind
from clients.orders.domain.terms import OrderSubject, Prescriber
from clients.permissions.domain.inputs import PainFreeHeight
from practice.core.terms import Mode, Movement, Region, Side
from tests.clients.permissions import given as g
from tests.clients.permissions.examples import YESTERDAY

replace = msgspec.structs.replace
EXTENSION = replace(g.FLEXION, code="extension", movements=(Movement.SHOULDER_EXTENSION,))
ROTATION = replace(
    g.FLEXION,
    code="rotation",
    movements=(Movement.SHOULDER_EXTERNAL_ROTATION,),
    needs=(RangeLimit(movement=Movement.SHOULDER_ABDUCTION, degrees=60),),
)


def test_fragile_bone_spares_the_spine_and_keeps_active_isolated() -> None:
    # Giangregorio 2015: activity encouraged, spine spared.
    known = g.facts(reviewed=g.history(conditions=(g.condition(ConditionKind.BONE_FRAGILITY),)))
    assert g.stretch_permission(known, g.CURLS).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.LOW_BACK).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.CHIN_TO_CHEST).mode is Mode.SELF_DIRECTED
    assert g.stretch_permission(known, g.FLEXION, g.PASSIVE).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.FLEXION).mode is Mode.HANDS_ON
    at_hip = g.condition(ConditionKind.BONE_FRAGILITY, g.site(Region.HIP))
    hip_only = g.facts(reviewed=g.history(conditions=(at_hip,)))
    assert g.stretch_permission(hip_only, g.FLEXION, g.PASSIVE).mode is Mode.HANDS_ON
    [reason] = g.stretch_permission(known, g.FLEXION, g.PASSIVE).reasons
    assert "Giangregorio 2015" in reason.source


def test_bone_metastasis_bars_its_site_without_leave_and_is_pain_free_alone_with_it() -> None:
    # Campbell 2022, JCO Oncology Practice: not an automatic bar.
    arm = g.site(Region.ARM, Side.LEFT)
    bone = g.condition(ConditionKind.BONE_METASTASIS, arm, since=date(2026, 2, 1))
    known = g.facts(reviewed=g.history(conditions=(bone,)))
    for technique in g.ALL:
        assert g.stretch_permission(known, g.FLEXION, technique).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.FLEXION, side=Side.RIGHT).mode is Mode.HANDS_ON
    order = g.clearance_order(OrderSubject.WORK_AT_BONE_SITE, sites=(arm,), given_on=YESTERDAY)
    allowed = g.stretch_permission(g.facts(known, orders=(order,)), g.FLEXION)
    assert (allowed.mode, g.codes(allowed)) == (Mode.SELF_DIRECTED, {"metastasis.cleared"})
    before = replace(order, given_on=date(2026, 1, 31))
    assert g.stretch_permission(g.facts(known, orders=(before,)), g.FLEXION).mode is Mode.NOT_TODAY
    nowhere = g.facts(reviewed=g.history(conditions=(replace(bone, sites=()),)))
    assert g.evaluated(nowhere).mode is Mode.NOT_TODAY, "a site not named is everywhere"


@pytest.mark.parametrize("suspected", [True, False])
def test_a_clot_suspected_or_known_is_not_today_until_a_physicians_leave(
    suspected: bool,
) -> None:
    # Common practice, no source.
    clot = replace(g.condition(ConditionKind.CLOT, since=YESTERDAY), suspected=suspected)
    known = g.facts(reviewed=g.history(conditions=(clot,)))
    assert {v.mode for v in g.evaluated(known).stretch_permissions} == {Mode.NOT_TODAY}
    order = g.clearance_order(
        OrderSubject.WORK_AFTER_CLOT, sites=(), given_on=g.DAY, prescriber=Prescriber.PHYSICIAN
    )
    assert g.evaluated(g.facts(known, orders=(order,))).mode is Mode.HANDS_ON
    old = replace(order, given_on=YESTERDAY - timedelta(days=1))
    assert g.evaluated(g.facts(known, orders=(old,))).mode is Mode.NOT_TODAY
    same_day = replace(order, given_on=YESTERDAY)
    assert g.evaluated(g.facts(known, orders=(same_day,))).mode is Mode.HANDS_ON
    undated = g.facts(reviewed=g.history(conditions=(replace(clot, since=None),)), orders=(order,))
    assert g.evaluated(undated).mode is Mode.NOT_TODAY


def test_with_cording_active_isolated_gently_and_nothing_assisted_on_that_arm() -> None:
    # Common practice; cords mostly 2-8 weeks after surgery (Koehler 2018).
    cord = g.condition(ConditionKind.CORDING, g.site(Region.ARM, Side.LEFT))
    known = g.facts(reviewed=g.history(conditions=(cord,)))
    gentle = g.stretch_permission(known, g.FLEXION)
    assert gentle.mode is Mode.HANDS_ON
    assert [c.code for c in gentle.cautions] == ["cording.gently"]
    assert g.stretch_permission(known, g.FLEXION, g.CR).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.FLEXION, g.CR).offered_instead is g.AI
    assert g.stretch_permission(known, g.FLEXION, g.CR, Side.RIGHT).mode is Mode.HANDS_ON
    assert g.stretch_permission(known, g.HAMSTRINGS, g.CR).mode is Mode.HANDS_ON


def test_cords_on_both_sides_hold_on_both_and_one_without_a_site_everywhere() -> None:
    both = tuple(g.site(Region.ARM, side) for side in (Side.LEFT, Side.RIGHT))
    for cord in (
        g.condition(ConditionKind.CORDING, *both),
        g.condition(ConditionKind.CORDING),
    ):
        known = g.facts(reviewed=g.history(conditions=(cord,)))
        for side in (Side.LEFT, Side.RIGHT):
            assert g.stretch_permission(known, g.FLEXION, g.CR, side).mode is Mode.NOT_TODAY


def test_a_drooping_shoulder_goes_to_the_days_pain_free_height() -> None:
    # Common practice, no source.
    droop = g.condition(ConditionKind.DROOPING_SHOULDER, g.site(Region.SHOULDER, Side.LEFT))
    known = g.facts(reviewed=g.history(conditions=(droop,)))
    height = PainFreeHeight(side=Side.LEFT, pinches=False, degrees=70)
    measured = g.stretch_permission(
        g.facts(known, arrival=g.arrival(shoulders=(height,))), g.ABDUCTION
    )
    at_70 = {"shoulder_abduction": 70, "shoulder_flexion": 70}
    assert (measured.mode, g.degrees(measured)) == (Mode.HANDS_ON, at_70)
    for raise_ in (g.FLEXION, g.V, g.CHEST, g.TRICEPS, ROTATION):
        limited = g.stretch_permission(
            g.facts(known, arrival=g.arrival(shoulders=(height,))), raise_
        )
        assert g.degrees(limited) == at_70, raise_.code
    for raise_ in (g.ABDUCTION, g.FLEXION, g.V, g.CHEST, g.TRICEPS, ROTATION):
        unknown = g.stretch_permission(known, raise_)
        assert unknown.mode is Mode.SELF_DIRECTED, raise_.code
        assert g.codes(unknown) == {"drooping_shoulder.unknown"}
    assert g.stretch_permission(known, g.FLEXION, side=Side.RIGHT).mode is Mode.HANDS_ON
    assert g.stretch_permission(known, EXTENSION).mode is Mode.HANDS_ON, "reaching back is no raise"


def test_no_contact_on_skin_broken_by_radiation_and_no_pull_across_it() -> None:
    # Common practice, no source.
    chest = g.site(Region.CHEST, Side.LEFT)
    broken = g.facts(reviewed=g.history(radiations=(g.radiation(chest, skin_broken=True),)))
    assert g.stretch_permission(broken, g.CHEST_ONE_ARM).mode is Mode.NOT_TODAY
    assert g.stretch_permission(broken, g.CHEST).mode is Mode.NOT_TODAY
    assert g.stretch_permission(broken, g.CHEST_ONE_ARM, side=Side.RIGHT).mode is Mode.HANDS_ON
    arm = g.site(Region.ARM, Side.LEFT)
    on_arm = g.facts(reviewed=g.history(radiations=(g.radiation(arm, skin_broken=True),)))
    touched = g.stretch_permission(on_arm, g.FLEXION)
    assert (touched.mode, g.codes(touched)) == (Mode.SELF_DIRECTED, {"skin.contact"})
    unseen = g.facts(reviewed=g.history(radiations=(g.radiation(chest, skin_broken=None),)))
    assert g.stretch_permission(unseen, g.CHEST_ONE_ARM).mode is Mode.SELF_DIRECTED
    whole = g.facts(reviewed=g.history(radiations=(g.radiation(chest, skin_broken=False),)))
    assert g.stretch_permission(whole, g.CHEST_ONE_ARM).mode is Mode.HANDS_ON
