"""Restrictions that a prescriber orders, and limits of movement."""

from __future__ import annotations

from datetime import date

import msgspec

from clients.health.domain.content import RangeLimit
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject
from clients.permissions.domain.inputs import PainFreeHeight
from practice.core.terms import Mode, Movement, Region, Side
from tests.clients.permissions import given as g
from tests.clients.permissions.examples import YESTERDAY

replace = msgspec.structs.replace


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
