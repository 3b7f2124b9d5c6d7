"""Ruling 52: after operations of abdomen and pelvis, and what donor incisions close."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.clinical.domain.limbs import LoadedLimb
from clients.health.domain.content import Operation
from clients.health.domain.terms import ConditionKind, OperationApproach, OperationKind
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderSubject, Prescriber
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.stretch import StretchSpec
from practice.core.terms import Mode, Region, Side
from tests.clients.permissions import given as g
from tests.clients.permissions.shipped import shipped

replace = msgspec.structs.replace
KEYHOLE, OPEN = OperationApproach.KEYHOLE, OperationApproach.OPEN
ABDOMEN = (g.site(Region.ABDOMEN),)
LIMBS = frozenset(LoadedLimb)
TILTS, ROLLS = shipped("pelvic_tilts"), shipped("knee_rolls")


def days_ago(days: int) -> date:
    return g.DAY - timedelta(days=days)


def operation(kind: OperationKind, days: int | None, **more: Any) -> Operation:
    return g.healed(kind, Side.BOTH, None if days is None else days_ago(days), **more)


def operated(*operations: Operation, orders: tuple[MedicalOrder, ...] = ()) -> PermissionFacts:
    return g.facts(reviewed=g.history(operations=operations), orders=orders)


def open_limbs(known: PermissionFacts) -> frozenset[LoadedLimb]:
    return frozenset(one.limb for one in g.evaluated(known).load if one.open)


def mode_of(known: PermissionFacts, code: str) -> Mode:
    return g.stretch_permission(known, shipped(code)).mode


# The practice's table: practice policy, informed by Schaaf, Hernia 2022;26:727 (keyhole, open),
# clinic pages (prostatectomy, hysterectomy; weak), NSWOC (stoma), UHN and OncoLink (flap).
TABLE = [
    (OperationKind.ABDOMINAL, KEYHOLE, 4),
    (OperationKind.ABDOMINAL, OPEN, 6),
    (OperationKind.PELVIC, KEYHOLE, 4),
    (OperationKind.PROSTATECTOMY, None, 6),
    (OperationKind.PROSTATECTOMY, KEYHOLE, 6),
    (OperationKind.HYSTERECTOMY, None, 6),
    (OperationKind.PELVIC_FLOOR, None, 6),
    (OperationKind.STOMA, OPEN, 12),
    # Unknown approach counts as the strictest of all, and so does a kind that is not named.
    (OperationKind.ABDOMINAL, None, 12),
    (OperationKind.PELVIC, None, 12),
    (OperationKind.OTHER, None, 12),
]


@pytest.mark.parametrize(("kind", "approach", "weeks"), TABLE)
def test_curls_and_loads_wait_for_the_weeks_of_the_operation(
    kind: OperationKind, approach: OperationApproach | None, weeks: int
) -> None:
    before = operated(operation(kind, weeks * 7 - 1, approach=approach))
    assert mode_of(before, "curls") is Mode.NOT_TODAY
    assert g.codes(g.stretch_permission(before, shipped("curls"))) >= {"abdomen.curls_weeks"}
    assert mode_of(before, "abdominal_strengthening") is Mode.NOT_TODAY
    assert open_limbs(before) == frozenset(), "nothing is lifted with arms or legs either"
    after = operated(operation(kind, weeks * 7, approach=approach))
    assert mode_of(after, "curls") is Mode.SELF_DIRECTED
    assert mode_of(after, "abdominal_strengthening") is Mode.SELF_DIRECTED
    assert open_limbs(after) == LIMBS


def test_after_a_flap_it_is_twelve_weeks_clearance_and_standing_erect() -> None:
    order = g.clearance_order(OrderSubject.CURLS, sites=ABDOMEN, given_on=days_ago(7))
    before = operation(OperationKind.ABDOMINAL_FLAP, 83)
    after = operation(OperationKind.ABDOMINAL_FLAP, 84)
    assert LoadedLimb.TRUNK not in open_limbs(operated(before, orders=(order,)))
    assert open_limbs(operated(after, orders=(order,))) == LIMBS
    assert open_limbs(operated(after)) == LIMBS - {LoadedLimb.TRUNK}
    bent = replace(after, stands_erect=None)
    assert open_limbs(operated(bent, orders=(order,))) == LIMBS - {LoadedLimb.TRUNK}


def test_an_operation_of_unknown_date_passes_no_gate() -> None:
    known = operated(operation(OperationKind.ABDOMINAL, None, approach=KEYHOLE))
    assert mode_of(known, "curls") is Mode.NOT_TODAY
    assert open_limbs(known) == frozenset()


def test_the_later_of_two_operations_and_a_report_count_too() -> None:
    old = operation(OperationKind.ABDOMINAL, 300, approach=OPEN)
    new = operation(OperationKind.STOMA, 70, id=UUID(int=51))
    assert mode_of(operated(old, new), "curls") is Mode.NOT_TODAY
    told = g.history(operations=(new,))
    assert mode_of(g.facts(operated(old), reported=(told,)), "curls") is Mode.NOT_TODAY


def shortened(subject: OrderSubject, **more: Any) -> PermissionFacts:
    given: dict[str, Any] = {"given_on": days_ago(5), "from_date": days_ago(5), "sites": ABDOMEN}
    order = g.clearance_order(subject, **(given | more))
    fresh = operation(OperationKind.ABDOMINAL, 21, approach=OPEN)
    return operated(fresh, orders=(order,))


def test_a_surgeons_clearance_with_its_date_shortens_the_weeks() -> None:
    assert mode_of(shortened(OrderSubject.CURLS), "curls") is Mode.SELF_DIRECTED
    assert open_limbs(shortened(OrderSubject.CURLS)) == frozenset(), "curls are not load"
    assert open_limbs(shortened(OrderSubject.LOAD, sites=())) == LIMBS
    assert open_limbs(shortened(OrderSubject.LOAD)) == {LoadedLimb.TRUNK}
    assert mode_of(shortened(OrderSubject.LOAD), "curls") is Mode.SELF_DIRECTED


@pytest.mark.parametrize(
    "changes",
    [
        {"from_date": None},
        {"from_date": g.DAY + timedelta(days=1)},
        {"prescriber": Prescriber.PHYSICIAN},
        {"given_on": days_ago(22), "from_date": days_ago(21)},
        {"lifted_on": g.DAY},
        {"sites": (g.site(Region.HEAD_AND_NECK),)},
    ],
)
def test_no_other_clearance_shortens_them(changes: dict[str, Any]) -> None:
    # Undated, not begun, the wrong prescriber, void, revoked, the wrong site.
    assert mode_of(shortened(OrderSubject.CURLS, **changes), "curls") is Mode.NOT_TODAY
    load = {"sites": (), **changes}
    assert open_limbs(shortened(OrderSubject.LOAD, **load)) == frozenset()


@pytest.mark.parametrize("spec", [TILTS, ROLLS], ids=lambda spec: spec.code)
def test_tilts_and_knee_rolls_are_self_directed_once_healed(spec: StretchSpec) -> None:
    for healed, mode in ((True, Mode.SELF_DIRECTED), (None, Mode.NOT_TODAY)):
        done = operation(OperationKind.HYSTERECTOMY, 10, incision_healed=healed)
        found = g.stretch_permission(operated(done), spec)
        assert found.mode is mode
        assert ("abdomen.tilts_healed" in g.codes(found)) is (healed is None)
    by_hand = replace(spec, contacts=(g.HAND,))
    early = operated(operation(OperationKind.HYSTERECTOMY, 41))
    assert g.stretch_permission(early, by_hand).mode is Mode.SELF_DIRECTED
    later = operated(operation(OperationKind.HYSTERECTOMY, 42))
    assert g.stretch_permission(later, by_hand).mode is Mode.HANDS_ON


@pytest.mark.parametrize("spec", [TILTS, ROLLS], ids=lambda spec: spec.code)
def test_after_a_flap_tilts_and_knee_rolls_need_clearance_and_a_healed_abdomen(
    spec: StretchSpec,
) -> None:
    order = g.clearance_order(OrderSubject.PELVIC_TILTS, sites=ABDOMEN, given_on=days_ago(7))
    done = operation(OperationKind.ABDOMINAL_FLAP, 60)
    assert "flap.tilts" in g.codes(g.stretch_permission(operated(done), spec))
    assert g.stretch_permission(operated(done, orders=(order,)), spec).mode is Mode.SELF_DIRECTED
    unhealed = replace(done, donor_incision_healed=False)
    found = g.stretch_permission(operated(unhealed, orders=(order,)), spec)
    assert "abdomen.tilts_healed" in g.codes(found)


def test_knee_rolls_turn_the_trunk_and_are_none_for_fragile_bone() -> None:
    fragile = g.history(conditions=(g.condition(ConditionKind.BONE_FRAGILITY),))
    assert g.stretch_permission(g.facts(reviewed=fragile), ROLLS).mode is Mode.NOT_TODAY
    assert g.stretch_permission(g.OPEN, ROLLS).mode is Mode.SELF_DIRECTED


@pytest.mark.parametrize("code", ["standing_erect", "lower_back"])
def test_standing_erect_and_low_back_are_gated_after_a_flap_only(code: str) -> None:
    other = operated(operation(OperationKind.ABDOMINAL, 21, approach=OPEN))
    assert mode_of(other, code) is Mode.HANDS_ON
    flap = operated(operation(OperationKind.ABDOMINAL_FLAP, 21))
    assert "flap.no_clearance" in g.codes(g.stretch_permission(flap, shipped(code)))


@pytest.mark.parametrize(("days", "warned"), [(41, True), (42, False)])
def test_before_the_gate_no_breath_is_held(days: int, warned: bool) -> None:
    known = operated(operation(OperationKind.HYSTERECTOMY, days))
    code = "abdomen.no_breath_holding"
    assert (code in {one.code for one in g.evaluated(known).warnings}) is warned
    for spec, technique in ((TILTS, g.AI), (shipped("triceps"), g.CR)):
        found = g.stretch_permission(known, spec, technique)
        assert (code in {one.code for one in found.cautions}) is warned
    gentle = g.stretch_permission(known, shipped("triceps"), g.AI)
    assert code not in {one.code for one in gentle.cautions}


# Donor incisions, front and back (common practice, no source)


def reconstructed(kind: OperationKind, side: Side, healed: bool | None) -> PermissionFacts:
    donor = g.healed(kind, side, days_ago(200), donor_incision_healed=healed)
    order = g.clearance_order(OrderSubject.STRETCHING, sites=ABDOMEN, given_on=days_ago(7))
    return operated(donor, orders=(order,))


@pytest.mark.parametrize(
    ("kind", "side", "code"),
    [
        (OperationKind.LATISSIMUS_RECONSTRUCTION, Side.LEFT, "cross_body"),
        (OperationKind.LATISSIMUS_RECONSTRUCTION, Side.LEFT, "chest_hands_behind_head"),
        (OperationKind.LATISSIMUS_RECONSTRUCTION, Side.LEFT, "shoulder_blades_back_and_down"),
        (OperationKind.ABDOMINAL_FLAP, Side.BOTH, "hip_flexors"),
        (OperationKind.ABDOMINAL_FLAP, Side.BOTH, "standing_erect"),
    ],
)
@pytest.mark.parametrize("healed", [False, None])
def test_an_unhealed_donor_incision_closes_what_pulls_or_presses_on_it(
    kind: OperationKind,
    side: Side,
    code: str,
    healed: bool | None,
) -> None:
    spec = shipped(code)
    found = g.stretch_permission(reconstructed(kind, side, healed), spec)
    assert found.mode is Mode.NOT_TODAY
    assert "surgery.donor_incision" in g.codes(found)
    whole = g.stretch_permission(reconstructed(kind, side, True), spec)  # noqa: FBT003
    assert whole.mode is Mode.HANDS_ON


def test_what_neither_pulls_nor_presses_on_a_donor_incision_stays() -> None:
    back = reconstructed(OperationKind.LATISSIMUS_RECONSTRUCTION, Side.LEFT, None)
    assert mode_of(back, "flexion_pattern") is Mode.HANDS_ON
    front = reconstructed(OperationKind.ABDOMINAL_FLAP, Side.BOTH, None)
    assert mode_of(front, "breathing") is Mode.SELF_DIRECTED
    assert mode_of(front, "lower_back") is Mode.HANDS_ON


def test_load_pulls_on_a_donor_incision_too() -> None:
    back = reconstructed(OperationKind.LATISSIMUS_RECONSTRUCTION, Side.LEFT, None)
    assert open_limbs(back) == LIMBS - {LoadedLimb.LEFT_ARM}


# Contract-relax that resists the pectoral (ruling 52; common practice, no source)


@pytest.mark.parametrize(
    ("code", "resisted"),
    [
        ("chest_arms_out", True),
        ("arms_overhead_v", True),
        ("internal_rotation_lying", True),
        ("external_rotation_lying", True),
        ("flexion_pattern", True),
        ("triceps", True),
        ("abduction_pattern", False),
        ("extension_pattern", False),
    ],
)
def test_contract_relax_that_resists_the_pectoral_needs_clearance_with_an_expander_in(
    code: str,
    resisted: bool,
) -> None:
    upper = tuple(g.site(r) for r in (Region.CHEST, Region.SHOULDER, Region.ARM, Region.UPPER_BACK))
    general = g.clearance_order(OrderSubject.STRETCHING, sites=upper, given_on=days_ago(7))
    chest = g.clearance_order(
        OrderSubject.RESISTED_CHEST_WORK, sites=upper, given_on=days_ago(7), id=UUID(int=81)
    )
    done = g.healed(OperationKind.EXPANDER, Side.LEFT, days_ago(200), expander_in=True)
    found = g.stretch_permission(operated(done, orders=(general,)), shipped(code), g.CR)
    assert ("surgery.expander" in g.codes(found)) is resisted
    assert found.mode is (Mode.NOT_TODAY if resisted else Mode.HANDS_ON)
    cleared = g.stretch_permission(operated(done, orders=(general, chest)), shipped(code), g.CR)
    assert cleared.mode is Mode.HANDS_ON
