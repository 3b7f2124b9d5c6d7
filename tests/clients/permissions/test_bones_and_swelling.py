"""Fragile bone, bone metastasis in the spine and swollen limbs, over the shipped catalogue too."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import msgspec
import pytest

from clients.health.domain.content import Condition
from clients.health.domain.terms import ConditionKind, Limb, RedFlag
from clients.orders.domain.terms import OrderSubject
from clients.permissions.domain.inputs import PermissionFacts, SwollenLimb
from clients.permissions.domain.stretch import ContactKind, ContactSite, SideLogic, StretchTag
from practice.core.reasons import Audience
from practice.core.terms import Mode, Movement, Region, Side
from tests.clients.permissions import given as g
from tests.clients.permissions.shipped import shipped

replace = msgspec.structs.replace
YESTERDAY = g.DAY - timedelta(days=1)


def having(*conditions: Condition) -> PermissionFacts:
    return g.facts(reviewed=g.history(conditions=conditions))


FRAGILE = having(g.condition(ConditionKind.BONE_FRAGILITY))


def test_contract_relax_ends_in_an_assisted_hold_so_it_is_barred_over_fragile_bone() -> None:
    # Giangregorio 2015: spine spared, activity encouraged.
    held = g.stretch_permission(FRAGILE, g.FLEXION, g.CR)
    assert (held.mode, g.codes(held)) == (Mode.NOT_TODAY, {"bone.contract_relax"})
    assert held.offered_instead is g.AI
    at_hip = having(g.condition(ConditionKind.BONE_FRAGILITY, g.site(Region.HIP)))
    assert g.stretch_permission(at_hip, g.FLEXION, g.CR).mode is Mode.HANDS_ON


@pytest.mark.parametrize("region", [Region.UPPER_BACK, Region.LOWER_BACK])
@pytest.mark.parametrize("kind", list(ContactKind))
def test_nothing_is_pressed_against_a_fragile_spine(region: Region, kind: ContactKind) -> None:
    back = ContactSite(region=region, side=SideLogic.BOTH, kind=kind)
    found = g.stretch_permission(FRAGILE, replace(g.FLEXION, contacts=(g.HAND, back)))
    if kind is ContactKind.HAND:
        assert found.mode is Mode.HANDS_ON
        return
    assert (found.mode, g.codes(found)) == (Mode.SELF_DIRECTED, {"bone.spine_contact"})
    assert "nothing is pressed against the spine" in found.reasons[0].text
    assert g.stretch_permission(FRAGILE, g.TRICEPS).mode is Mode.HANDS_ON, (
        "a hand on a shoulder is no spine"
    )


def test_with_fragile_bone_the_shipped_stretches_with_a_leg_at_the_back_are_unaided() -> None:
    for code in ("chest_hands_behind_head", "cross_body"):
        assert "bone.spine_contact" in g.codes(g.stretch_permission(FRAGILE, shipped(code)))
    assert g.stretch_permission(FRAGILE, shipped("standing_erect")).mode is Mode.HANDS_ON


SPINE = g.condition(
    ConditionKind.BONE_METASTASIS, g.site(Region.UPPER_BACK), since=date(2026, 2, 1)
)


@pytest.mark.parametrize(
    "code",
    [
        "curls",
        "pelvic_tilts",
        "lower_back",
        "hip_flexors",
        "standing_erect",
        "abdominal_strengthening",
    ],
)
@pytest.mark.parametrize("region", [Region.UPPER_BACK, Region.LOWER_BACK])
def test_what_bends_the_trunk_works_a_metastasis_in_the_spine(code: str, region: Region) -> None:
    # Campbell 2022, JCO Oncology Practice: not an automatic bar, but not without clearance.
    known = having(replace(SPINE, sites=(g.site(region),)))
    assert "metastasis.no_clearance" in g.codes(g.stretch_permission(known, shipped(code)))
    sites = (g.site(Region.UPPER_BACK), g.site(Region.LOWER_BACK), g.site(Region.HIP))
    order = g.clearance_order(OrderSubject.WORK_AT_BONE_SITE, sites=sites, given_on=YESTERDAY)
    allowed = g.stretch_permission(g.facts(known, orders=(order,)), shipped(code))
    assert "metastasis.cleared" in g.codes(allowed)
    loaded = code in ("curls", "abdominal_strengthening")
    assert allowed.mode is (Mode.NOT_TODAY if loaded else Mode.SELF_DIRECTED)
    # Ruling 53: what loads the site needs a clearance that names load as well.
    load = g.clearance_order(OrderSubject.LOAD, sites=sites, given_on=YESTERDAY, id=UUID(int=81))
    both = g.stretch_permission(g.facts(known, orders=(order, load)), shipped(code))
    assert both.mode is Mode.SELF_DIRECTED


@pytest.mark.parametrize(
    "change",
    [
        {"tags": frozenset({StretchTag.TRUNK_TWIST})},
        {"tags": frozenset({StretchTag.TRUNK_BEND})},
        {"movements": (Movement.TRUNK_LATERAL_FLEXION,)},
    ],
)
def test_a_bend_counts_by_its_tag_or_its_movement(change: dict[str, object]) -> None:
    spec = replace(g.HAMSTRINGS, **change)  # type: ignore[arg-type]
    assert "metastasis.no_clearance" in g.codes(g.stretch_permission(having(SPINE), spec))
    in_arm = having(replace(SPINE, sites=(g.site(Region.ARM, Side.LEFT),)))
    assert g.stretch_permission(in_arm, spec).mode is Mode.HANDS_ON


def test_breathing_walking_and_the_arms_are_not_the_spine() -> None:
    known = having(replace(SPINE, sites=(g.site(Region.LOWER_BACK),)))
    for spec in (shipped("breathing"), shipped("walking"), shipped("flexion_pattern")):
        assert g.stretch_permission(known, spec).mode is not Mode.NOT_TODAY


def test_a_suspected_metastasis_or_clot_names_whom_to_refer_to() -> None:
    suspected = replace(SPINE, suspected=True)
    whom = g.settings().refer_for_condition[ConditionKind.BONE_METASTASIS]
    known = having(suspected)
    assert g.evaluated(known).refer_to == (whom,)
    [reason] = [
        r
        for r in g.stretch_permission(known, g.LOW_BACK).reasons
        if r.code == "metastasis.suspected"
    ]
    assert whom in reason.text
    assert g.evaluated(having(SPINE)).refer_to == (), "known: the physicians know"
    order = g.clearance_order(
        OrderSubject.WORK_AT_BONE_SITE, sites=suspected.sites, given_on=YESTERDAY
    )
    assert g.evaluated(g.facts(known, orders=(order,))).refer_to == ()
    clot = replace(g.condition(ConditionKind.CLOT, since=YESTERDAY), suspected=True)
    assert g.evaluated(having(clot)).refer_to == (
        g.settings().refer_for_condition[ConditionKind.CLOT],
    )


def test_with_lymphedema_that_limb_is_worked_low_slowly_and_supervised() -> None:
    # 2019 roundtable, Campbell, Med Sci Sports Exerc 51:2375 (quoted): with swelling of a limb
    # start low, progress slowly, supervised.
    known = having(g.condition(ConditionKind.LYMPHEDEMA, g.site(Region.ARM, Side.LEFT)))
    for spec in (g.FLEXION, g.V, shipped("extension_pattern")):
        found = g.stretch_permission(known, spec)
        assert found.mode is Mode.HANDS_ON
        [caution] = found.cautions
        assert (caution.code, caution.audience) == ("lymphedema.limb", Audience.CLINICAL)
        assert "start low, progress slowly, supervised" in caution.text
        assert "51:2375" in caution.source
    assert g.stretch_permission(known, g.FLEXION, side=Side.RIGHT).cautions == ()
    assert g.stretch_permission(known, g.HAMSTRINGS).cautions == ()
    anywhere = having(g.condition(ConditionKind.LYMPHEDEMA))
    assert [c.code for c in g.stretch_permission(anywhere, g.HAMSTRINGS).cautions] == [
        "lymphedema.limb"
    ]


def test_a_limb_whose_circumferences_say_refer_is_worked_with_care_and_says_to_whom() -> None:
    known = g.facts(watched_limbs=(SwollenLimb(limb=Limb.ARM, side=Side.LEFT),))
    [caution] = g.stretch_permission(known, g.FLEXION).cautions
    assert caution.code == "swelling.watched"
    assert g.settings().refer_to[RedFlag.NEW_SWELLING] in caution.text
    assert "whom the client was referred to" in caution.text
    assert g.stretch_permission(known, g.FLEXION, side=Side.RIGHT).cautions == ()
    assert g.stretch_permission(known, g.HAMSTRINGS).cautions == ()
