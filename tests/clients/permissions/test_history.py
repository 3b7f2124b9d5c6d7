"""The health history, reviewed and reported: what it closes until then, the neck, and load."""

from __future__ import annotations

import msgspec
import pytest

from clients.health.domain.terms import ClearanceNeed, ConditionKind, NeckHistory, OperationKind
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from clients.permissions.domain.inputs import PainFreeHeight
from clients.permissions.domain.stretch import StretchTag
from practice.core.reasons import readable_by
from practice.core.terms import Mode, Region, Role, Side
from tests.clients.permissions import given as g
from tests.clients.permissions.examples import YESTERDAY
from tests.clients.permissions.shipped import contents, shipped

replace = msgspec.structs.replace
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
