"""Health history, conditions, orders and the day's answers, rule by rule."""

from __future__ import annotations

from datetime import date, timedelta

import msgspec
import pytest

from clients.health.domain.content import RangeLimit
from clients.health.domain.terms import (
    ClearanceNeed,
    ConditionKind,
    Limb,
    NeckHistory,
    OperationKind,
    RedFlag,
)
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from clients.permissions.domain.inputs import PainFreeHeight, StopFacts, SwollenLimb
from clients.permissions.domain.stretch import StretchTag
from practice.core.reasons import GENERAL_HEALTH_REASON, readable_by
from practice.core.terms import Mode, Movement, Region, Role, Side
from tests.clients.permissions import given as g
from tests.clients.permissions.shipped import contents, shipped

replace = msgspec.structs.replace
EXTENSION = replace(g.FLEXION, code="extension", movements=(Movement.SHOULDER_EXTENSION,))
ROTATION = replace(
    g.FLEXION,
    code="rotation",
    movements=(Movement.SHOULDER_EXTERNAL_ROTATION,),
    needs=(RangeLimit(movement=Movement.SHOULDER_ABDUCTION, degrees=60),),
)
YESTERDAY = g.DAY - timedelta(days=1)
LOADED = replace(g.HAMSTRINGS, code="loaded", tags=frozenset({StretchTag.LOADING}))


def test_without_a_reviewed_history_nothing_is_hands_on() -> None:
    for reported in ((), (g.HISTORY,)):
        permissions = g.evaluated(g.facts(reviewed=None, reported=reported))
        assert permissions.planned is Mode.SELF_DIRECTED
        assert "history.not_reviewed" in g.codes(permissions)


def test_knowing_nothing_is_never_wider_than_knowing_something() -> None:
    # Rule of the house: a report restricts at once and frees nothing until it is reviewed.
    nothing = g.facts(reviewed=None)
    trunk = ("pelvic_tilts", "curls", "lower_back", "abdominal_strengthening", "hip_flexors")
    for code in (*trunk, "standing_erect"):
        found = g.stretch_permission(nothing, shipped(code))
        assert found.mode is Mode.NOT_TODAY, code
        assert "No health history is on record: ask for it first." in {
            r.text for r in readable_by(Role.FRONT_DESK, found.reasons)
        }
    for tag in (StretchTag.TRUNK_TWIST, StretchTag.LOADING):
        spec = replace(g.HAMSTRINGS, tags=frozenset({tag}))
        assert "history.none" in g.codes(g.stretch_permission(nothing, spec))
    for code in ("breathing", "walking", "flexion_pattern"):
        assert g.stretch_permission(nothing, shipped(code)).mode is Mode.SELF_DIRECTED, code
    reported = g.facts(reviewed=None, reported=(g.HISTORY,))
    tilts = g.stretch_permission(reported, shipped("pelvic_tilts"))
    assert (tilts.mode, "history.only_reported" in g.codes(tilts)) == (Mode.NOT_TODAY, True)
    assert g.stretch_permission(g.OPEN, shipped("pelvic_tilts")).mode is Mode.SELF_DIRECTED


@pytest.mark.parametrize("neck", [NeckHistory.INJURY, NeckHistory.DISC_TROUBLE])
def test_with_neck_trouble_curls_are_cautioned_against_on_the_floor(neck: NeckHistory) -> None:
    # Common practice, no source.
    curls = g.stretch_permission(g.facts(reviewed=g.history(neck=neck)), shipped("curls"))
    assert [(c.code, "upright" in c.text) for c in curls.cautions] == [("neck.curls", True)]
    assert curls.mode is Mode.SELF_DIRECTED
    assert g.stretch_permission(g.OPEN, shipped("curls")).cautions == ()
    reported = g.facts(reported=(g.history(neck=neck),))
    assert [c.code for c in g.stretch_permission(reported, shipped("curls")).cautions] == [
        "neck.curls"
    ]


def test_the_catalogue_agrees_with_the_rules_on_cords_and_on_arms_out_to_the_side() -> None:
    cord = g.condition(ConditionKind.CORDING, g.site(Region.ARM, Side.LEFT))
    corded = g.facts(reviewed=g.history(conditions=(cord,)))
    cautioned = {
        code: [caution for caution in content.cautions if "cording" in caution]
        for code, content in contents().items()
    }
    for code in ("flexion_pattern", "arms_overhead_v"):
        assert cautioned[code] == [
            "With cording active isolated only, gently; a cord is never snapped on purpose."
        ]
        assert g.stretch_permission(corded, shipped(code)).mode is Mode.HANDS_ON
    assert not any("alone" in text for texts in cautioned.values() for text in texts)
    for code in ("external_rotation_lying", "internal_rotation_lying"):
        for height, mode in ((80, Mode.NOT_TODAY), (90, Mode.HANDS_ON)):
            pinch = PainFreeHeight(side=Side.LEFT, pinches=True, degrees=height)
            known = g.facts(arrival=g.arrival(shoulders=(pinch,)))
            assert g.stretch_permission(known, shipped(code)).mode is mode, (code, height)


def test_a_report_restricts_at_once_and_frees_nothing() -> None:
    clot = g.history(conditions=(g.condition(ConditionKind.CLOT, since=YESTERDAY),))
    assert g.evaluated(g.facts(reported=(clot,))).mode is Mode.NOT_TODAY
    # A report without what the review found does not take it away.
    known = g.facts(reviewed=clot, reported=(g.HISTORY,))
    assert g.evaluated(known).mode is Mode.NOT_TODAY


@pytest.mark.parametrize(
    ("neck", "code"),
    [
        (NeckHistory.NOT_ASKED, "neck.not_asked"),
        (NeckHistory.INJURY, "neck.injury"),
        (NeckHistory.DISC_TROUBLE, "neck.disc"),
    ],
)
def test_the_neck_is_self_directed_until_asked_and_for_good_after_injury_or_disc_trouble(
    neck: NeckHistory, code: str
) -> None:
    # Common practice, no source; not asked is not "none".
    everything = g.clearance_order(
        *OrderSubject, sites=tuple(g.site(r) for r in Region), given_on=YESTERDAY
    )
    known = g.facts(reviewed=g.history(neck=neck), orders=(everything,))
    chin = g.stretch_permission(known, g.CHIN_TO_CHEST)
    assert (chin.mode, g.codes(chin)) == (Mode.SELF_DIRECTED, {code})
    assert g.stretch_permission(known, g.CHIN_TO_CHEST, g.PASSIVE).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.FLEXION).mode is Mode.HANDS_ON


def test_a_neck_reported_as_fine_is_still_to_be_asked_by_a_practitioner() -> None:
    known = g.facts(reviewed=g.history(neck=NeckHistory.NOT_ASKED), reported=(g.HISTORY,))
    assert "neck.not_asked" in g.codes(g.stretch_permission(known, g.CHIN_TO_CHEST))


def test_loading_waits_for_a_clearance_that_the_history_asks_for() -> None:
    asked = g.facts(reviewed=g.history(clearance_need=ClearanceNeed.NEEDED))
    assert not g.evaluated(asked).loading
    assert "load.clearance_missing" in g.codes(g.stretch_permission(asked, LOADED))
    assert g.stretch_permission(asked, g.CURLS).mode is Mode.NOT_TODAY
    assert g.stretch_permission(asked, g.HAMSTRINGS).mode is Mode.HANDS_ON
    paper = g.clearance_order(
        OrderSubject.LOAD, sites=(), given_on=YESTERDAY, prescriber=Prescriber.PHYSICIAN
    )
    assert g.evaluated(g.facts(asked, orders=(paper,))).loading
    assert not g.evaluated(
        g.facts(reviewed=g.history(clearance_need=ClearanceNeed.NOT_ASKED))
    ).loading
    assert g.evaluated(g.OPEN).loading


def test_only_a_clearance_that_stands_clears_loading() -> None:
    asked = g.history(clearance_need=ClearanceNeed.NEEDED)
    paper = g.clearance_order(
        OrderSubject.LOAD, sites=(), given_on=YESTERDAY, prescriber=Prescriber.PHYSICIAN
    )
    since = g.healed(OperationKind.LUMPECTOMY, Side.LEFT, YESTERDAY)
    for changed in (
        g.facts(reviewed=asked, orders=(replace(paper, expires_on=YESTERDAY),)),
        g.facts(reviewed=asked, orders=(replace(paper, kind=OrderKind.PLAN_SIGNATURE),)),
        g.facts(reviewed=replace(asked, operations=(since,)), orders=(paper,)),
    ):
        assert not g.evaluated(changed).loading


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


def test_a_restriction_stands_until_it_ends_or_is_lifted() -> None:
    order = g.clearance_order(
        sites=(g.site(Region.SHOULDER, Side.LEFT),),
        given_on=date(2025, 1, 1),
        kind=OrderKind.RESTRICTION,
        limits=(RangeLimit(movement=Movement.SHOULDER_FLEXION, degrees=120),),
        widest_mode=Mode.HANDS_ON,
    )
    limited = g.stretch_permission(g.facts(orders=(order,)), g.FLEXION)
    assert (limited.mode, g.degrees(limited)) == (Mode.HANDS_ON, {"shoulder_flexion": 120})
    assert (
        g.degrees(g.stretch_permission(g.facts(orders=(order,)), g.FLEXION, side=Side.RIGHT)) == {}
    )
    for ended in ({"lifted_on": g.DAY}, {"expires_on": YESTERDAY}):
        gone = g.facts(orders=(replace(order, **ended),))
        assert g.degrees(g.stretch_permission(gone, g.FLEXION)) == {}
    strict = replace(
        order, widest_mode=Mode.NOT_TODAY, sites=(), techniques=(g.PASSIVE,), limits=()
    )
    known = g.facts(orders=(strict,))
    assert g.stretch_permission(known, g.HAMSTRINGS, g.PASSIVE).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.HAMSTRINGS).mode is Mode.HANDS_ON
    curls = replace(strict, techniques=(), subjects=(OrderSubject.CURLS,))
    assert g.stretch_permission(g.facts(orders=(curls,)), g.CURLS).mode is Mode.NOT_TODAY
    assert g.stretch_permission(g.facts(orders=(curls,)), g.TILTS).mode is Mode.SELF_DIRECTED


def test_a_restriction_says_what_is_restricted_to_what_and_until_when() -> None:
    order = g.clearance_order(
        sites=(g.site(Region.SHOULDER, Side.LEFT), g.site(Region.ARM)),
        given_on=YESTERDAY,
        kind=OrderKind.RESTRICTION,
        techniques=(g.AI, g.CR),
        limits=(RangeLimit(movement=Movement.SHOULDER_FLEXION, degrees=120),),
        widest_mode=Mode.SELF_DIRECTED,
        expires_on=date(2026, 5, 1),
        text="Gently.",
    )

    def told(order: MedicalOrder) -> str:
        found = g.stretch_permission(g.facts(orders=(order,)), g.FLEXION)
        [reason] = [r for r in found.reasons if r.code == "order.restriction"]
        return reason.text

    assert told(order) == (
        "Restricted by the surgeon on 2026-03-01: active isolated, contract-relax; arm, left "
        "shoulder: self-directed only, shoulder flexion to 120 degrees; until 2026-05-01. The "
        "order says: Gently."
    )
    bare = replace(order, techniques=(), sites=(), limits=(), text="", expires_on=None)
    assert told(replace(bare, widest_mode=Mode.NOT_TODAY)) == (
        "Restricted by the surgeon on 2026-03-01: everything: not at all; until it is lifted."
    )


def test_a_restriction_with_a_subject_speaks_about_that_alone() -> None:
    order = g.clearance_order(
        sites=(), given_on=YESTERDAY, kind=OrderKind.RESTRICTION, widest_mode=Mode.NOT_TODAY
    )
    resisted = g.facts(orders=(replace(order, subjects=(OrderSubject.RESISTED_CHEST_WORK,)),))
    assert g.stretch_permission(resisted, g.CHEST, g.CR).mode is Mode.NOT_TODAY
    assert g.stretch_permission(resisted, g.CHEST, g.PASSIVE).mode is Mode.HANDS_ON
    assert g.stretch_permission(resisted, g.ABDUCTION, g.CR).mode is Mode.HANDS_ON
    # Ruling 52: in flexion the pectoral resists too.
    assert g.stretch_permission(resisted, g.FLEXION, g.CR).mode is Mode.NOT_TODAY
    raised = g.facts(orders=(replace(order, subjects=(OrderSubject.ARM_ABOVE_SHOULDER,)),))
    assert g.stretch_permission(raised, g.FLEXION).mode is Mode.NOT_TODAY
    assert g.stretch_permission(raised, g.HAMSTRINGS).mode is Mode.HANDS_ON


def test_a_limit_holds_for_the_stretches_that_make_its_movement() -> None:
    order = g.clearance_order(
        sites=(),
        given_on=YESTERDAY,
        kind=OrderKind.RESTRICTION,
        limits=(RangeLimit(movement=Movement.NECK_FLEXION, degrees=30),),
        widest_mode=Mode.HANDS_ON,
    )
    known = g.facts(orders=(order,))
    assert g.degrees(g.stretch_permission(known, g.CHIN_TO_CHEST)) == {"neck_flexion": 30}
    assert g.degrees(g.stretch_permission(known, g.FLEXION)) == {}
    arm = replace(order, limits=(RangeLimit(movement=Movement.SHOULDER_FLEXION, degrees=120),))
    assert g.degrees(g.stretch_permission(g.facts(orders=(arm,)), g.HAMSTRINGS)) == {}


@pytest.mark.parametrize(
    ("answers", "flag"),
    [
        # 38.0 degrees Celsius is 100.4 degrees Fahrenheit: practice policy.
        ({"temperature": 38.0}, RedFlag.FEVER),
        ({"fever": True}, RedFlag.FEVER),
        ({"pain": 7}, RedFlag.REST_PAIN),
        *(
            ({"signs": (sign,)}, sign)
            for sign in RedFlag
            if sign not in (RedFlag.NEW_SWELLING, RedFlag.FEVER)
        ),
    ],
)
def test_a_red_flag_means_not_today_and_says_whom_to_refer_to(
    answers: dict[str, object], flag: RedFlag
) -> None:
    permissions = g.evaluated(g.facts(arrival=g.arrival(**answers)))
    assert {v.mode for v in permissions.stretch_permissions} == {Mode.NOT_TODAY}
    assert permissions.refer_to == (g.settings().refer_to[flag],)
    assert not permissions.loading


@pytest.mark.parametrize("answers", [{"signs": (RedFlag.CHEST_PAIN,)}, {"pain": 9}])
def test_a_red_flag_tells_the_desk_to_fetch_the_practitioner_and_not_which_sign_it_was(
    answers: dict[str, object],
) -> None:
    # Practice policy: the desk types the answers, so it is the desk that must act.
    permissions = g.evaluated(g.facts(arrival=g.arrival(**answers)))
    shown = readable_by(Role.FRONT_DESK, permissions.reasons)
    [fetch] = [reason for reason in shown if reason.code == "arrival.fetch_practitioner"]
    assert "emergency number first" in fetch.text
    assert "home alone" in fetch.text
    assert not any(reason.code.startswith("red_flag.") for reason in shown)
    assert "arrival.fetch_practitioner" not in g.codes(g.evaluated(g.OPEN))


def test_new_swelling_of_a_limb_fetches_the_practitioner_too_and_rests_that_limb_alone() -> None:
    known = g.facts(arrival=g.arrival(swelling=(SwollenLimb(limb=Limb.ARM, side=Side.LEFT),)))
    warned = readable_by(Role.FRONT_DESK, g.evaluated(known).warnings)
    assert [warning.code for warning in warned] == ["arrival.fetch_practitioner"]
    assert g.stretch_permission(known, g.FLEXION, side=Side.RIGHT).mode is Mode.HANDS_ON


def test_the_general_health_reason_does_not_claim_that_the_practitioner_knows() -> None:
    assert GENERAL_HEALTH_REASON.text == "A health reason stands against it; ask the practitioner."


def test_just_below_the_numbers_there_is_no_red_flag() -> None:
    assert (
        g.evaluated(g.facts(arrival=g.arrival(temperature=37.9)), g.FLEXION).mode is Mode.HANDS_ON
    )
    assert g.stretch_permission(g.facts(arrival=g.arrival(pain=6)), g.FLEXION).mode is Mode.HANDS_ON


def test_pain_three_over_the_usual_is_a_red_flag_where_the_usual_is_known() -> None:
    usual = g.history(usual_pain=2)
    at_five = g.arrival(pain=5)
    assert g.evaluated(g.facts(reviewed=usual, arrival=at_five)).mode is Mode.NOT_TODAY
    assert g.evaluated(g.facts(reviewed=usual, arrival=g.arrival(pain=4))).mode is Mode.HANDS_ON
    assert g.evaluated(g.facts(arrival=at_five)).mode is Mode.HANDS_ON, "unknown: only 7 counts"


def test_where_two_histories_differ_the_lower_usual_pain_counts() -> None:
    for first, second in ((1, 5), (5, 1)):
        known = g.facts(
            reviewed=g.history(usual_pain=first),
            reported=(g.history(usual_pain=second),),
            arrival=g.arrival(pain=5),
        )
        assert g.evaluated(known).mode is Mode.NOT_TODAY


def test_of_two_limits_the_lower_counts() -> None:
    order = g.clearance_order(
        sites=(),
        given_on=YESTERDAY,
        kind=OrderKind.RESTRICTION,
        limits=(RangeLimit(movement=Movement.SHOULDER_FLEXION, degrees=120),),
        widest_mode=Mode.HANDS_ON,
    )
    for pinch, left in ((80, 80), (150, 120)):
        height = PainFreeHeight(side=Side.LEFT, pinches=True, degrees=pinch)
        known = g.facts(orders=(order,), arrival=g.arrival(shoulders=(height,)))
        assert g.degrees(g.stretch_permission(known, g.FLEXION))["shoulder_flexion"] == left


def test_with_pain_of_four_to_six_active_isolated_only() -> None:
    known = g.facts(arrival=g.arrival(pain=4))
    assert g.stretch_permission(known, g.FLEXION).mode is Mode.HANDS_ON
    for technique in (g.CR, g.PASSIVE):
        assert g.stretch_permission(known, g.FLEXION, technique).mode is Mode.NOT_TODAY
    assert (
        g.stretch_permission(g.facts(arrival=g.arrival(pain=3)), g.FLEXION, g.CR).mode
        is Mode.HANDS_ON
    )


def test_new_swelling_rests_that_limb_and_refers() -> None:
    swollen = (SwollenLimb(limb=Limb.ARM, side=Side.LEFT),)
    known = g.facts(arrival=g.arrival(swelling=swollen))
    assert g.stretch_permission(known, g.FLEXION).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.CHEST).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.FLEXION, side=Side.RIGHT).mode is Mode.HANDS_ON
    assert g.stretch_permission(known, g.HAMSTRINGS).mode is Mode.HANDS_ON
    assert g.evaluated(known).refer_to == (g.settings().refer_to[RedFlag.NEW_SWELLING],)


def test_a_shoulder_that_pinches_comes_down_to_the_days_pain_free_height() -> None:
    # Common practice, no source.
    known_height = PainFreeHeight(side=Side.LEFT, pinches=True, degrees=80)
    known = g.facts(arrival=g.arrival(shoulders=(known_height,)))
    for stretch in (g.CHEST, g.V, g.TRICEPS, g.FLEXION, g.ABDUCTION):
        assert set(g.degrees(g.stretch_permission(known, stretch)).values()) == {80}
    assert g.degrees(g.stretch_permission(known, g.FLEXION, side=Side.RIGHT)) == {}
    unknown = g.facts(arrival=g.arrival(shoulders=(replace(known_height, degrees=None),)))
    for stretch in (g.CHEST, g.V, g.TRICEPS):
        assert g.stretch_permission(unknown, stretch).mode is Mode.NOT_TODAY
    below_the_arc = g.stretch_permission(unknown, g.FLEXION)
    assert below_the_arc.mode is Mode.SELF_DIRECTED


def test_fatigue_warns_and_forbids_nothing() -> None:
    permissions = g.evaluated(g.facts(arrival=g.arrival(fatigue=7)))
    assert [w.code for w in permissions.warnings] == ["arrival.fatigue"]
    assert permissions.mode is Mode.HANDS_ON


def test_a_stop_ends_touch_or_the_session_for_what_comes_after() -> None:
    touch = g.evaluated(g.facts(stop=StopFacts(minute=25)))
    assert touch.mode is Mode.SELF_DIRECTED
    assert any("minute 25" in reason.text for reason in touch.reasons)
    assert g.evaluated(g.facts(stop=StopFacts(minute=25, everything=True))).mode is Mode.NOT_TODAY


def test_a_session_gives_the_reasons_of_its_verdicts_only_where_nothing_is_hands_on() -> None:
    cord = g.condition(ConditionKind.CORDING, g.site(Region.ARM, Side.LEFT))
    known = g.facts(reviewed=g.history(conditions=(cord,)))
    assert "cording.technique" not in g.codes(g.evaluated(known))
    declined = g.evaluated(g.facts(known, arrival=g.arrival(hands_on_today=False)))
    assert "cording.technique" in g.codes(declined)


def test_a_judgement_names_the_versions_it_was_made_with() -> None:
    versions = g.evaluated(g.OPEN).versions
    assert (versions.settings, versions.record, versions.catalogue) == (1, 7, 1)
    assert versions.rules >= 1
    assert versions.consent_id == g.CONSENT.consent_id
    assert versions.limit_rows == (g.ALLOWED.id,)
