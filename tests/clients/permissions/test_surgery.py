"""Time since surgery, healing and clearance, rule by rule, with the source of each."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import msgspec
import pytest

from clients.consent.domain.terms import ConsentStatus
from clients.health.domain.content import Operation, RangeLimit
from clients.health.domain.terms import OperationKind
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderSubject, Prescriber
from clients.permissions.domain.inputs import PermissionFacts
from practice.core.reasons import Audience
from practice.core.terms import Mode, Movement, Region, Side, Technique
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
UPPER = tuple(g.site(r) for r in (Region.CHEST, Region.SHOULDER, Region.ARM, Region.UPPER_BACK))
LEFT_UPPER = tuple(replace(site, side=Side.LEFT) for site in UPPER)


def weeks_ago(weeks: float) -> date:
    return g.DAY - timedelta(days=int(weeks * 7))


def operated(*operations: Operation, orders: tuple[MedicalOrder, ...] = ()) -> PermissionFacts:
    return g.facts(reviewed=g.history(operations=operations), orders=orders)


def mastectomy(on: date | None, side: Side = Side.LEFT, **more: object) -> Operation:
    return g.healed(OperationKind.MASTECTOMY, side, on, **more)


def stretching(given_on: date, *techniques: Technique, **more: object) -> MedicalOrder:
    return g.clearance_order(
        OrderSubject.STRETCHING, sites=LEFT_UPPER, given_on=given_on, techniques=techniques, **more
    )


# Contract-relax is not for the first weeks and passive carries most risk: common practice,
# no source; 8 weeks are the practice's policy.
@pytest.mark.parametrize("technique", [g.CR, g.PASSIVE])
def test_assisted_techniques_wait_for_the_weeks_and_for_leave(technique: Technique) -> None:
    general = stretching(weeks_ago(1))
    day_before = mastectomy(g.DAY - timedelta(days=55))
    on_the_day = mastectomy(g.DAY - timedelta(days=56))
    early = g.stretch_permission(operated(day_before, orders=(general,)), g.FLEXION, technique)
    assert early.mode is Mode.NOT_TODAY
    assert {"surgery.weeks", "surgery.no_clearance"} <= g.codes(early)
    assert early.offered_instead is g.AI
    assert g.stretch_permission(
        operated(on_the_day, orders=(general,)), g.FLEXION, technique
    ).mode is (Mode.HANDS_ON)
    without = g.stretch_permission(operated(on_the_day), g.FLEXION, technique)
    assert without.mode is Mode.NOT_TODAY
    assert "surgery.no_clearance" in g.codes(without)


def test_an_operation_counts_from_its_own_day_and_not_before() -> None:
    today = g.stretch_permission(operated(mastectomy(g.DAY)), g.FLEXION, g.CR)
    assert "surgery.weeks" in g.codes(today)
    tomorrow = operated(mastectomy(g.DAY + timedelta(days=1)))
    assert g.stretch_permission(tomorrow, g.FLEXION, g.CR).mode is Mode.HANDS_ON


def test_each_technique_has_its_own_number_of_weeks() -> None:
    known = operated(mastectomy(weeks_ago(10)), orders=(stretching(weeks_ago(1)),))
    longer = replace(g.settings(), passive_weeks=12)
    permissions = g.evaluate(known, (g.FLEXION,), longer)
    modes = {v.technique: v.mode for v in permissions.stretch_permissions if v.side is Side.LEFT}
    assert (modes[g.CR], modes[g.PASSIVE]) == (Mode.HANDS_ON, Mode.NOT_TODAY)


def test_before_the_weeks_only_an_order_that_names_technique_and_date_counts() -> None:
    recent = mastectomy(weeks_ago(5))
    cases = {
        "names both": (stretching(weeks_ago(1), g.CR, from_date=g.DAY), Mode.HANDS_ON),
        "from tomorrow": (
            stretching(weeks_ago(1), g.CR, from_date=g.DAY + timedelta(days=1)),
            Mode.NOT_TODAY,
        ),
        "no date": (stretching(weeks_ago(1), g.CR), Mode.NOT_TODAY),
        "no technique": (stretching(weeks_ago(1), from_date=g.DAY), Mode.NOT_TODAY),
        "other technique": (stretching(weeks_ago(1), g.PASSIVE, from_date=g.DAY), Mode.NOT_TODAY),
    }
    for case, (order, mode) in cases.items():
        assert (
            g.stretch_permission(operated(recent, orders=(order,)), g.FLEXION, g.CR).mode is mode
        ), case


def reasons(known: PermissionFacts, code: str) -> list[str]:
    found = g.stretch_permission(known, g.FLEXION, g.CR)
    return [reason.text for reason in found.reasons if reason.code == code]


def test_before_the_weeks_the_reason_says_what_is_missing() -> None:
    recent = mastectomy(weeks_ago(5))
    [weeks] = reasons(operated(recent, orders=(stretching(weeks_ago(1)),)), "surgery.weeks")
    assert weeks == (
        "5 weeks since surgery there: contract-relax stretching from week 8, or from the date "
        "(from_date) that a surgeon's order naming the technique gives."
    )
    undated = stretching(weeks_ago(1), g.CR)
    [missing] = reasons(operated(recent, orders=(undated,)), "clearance.no_start_date")
    assert missing == (
        f"The order of {undated.given_on.isoformat()} by the surgeon names contract-relax but "
        "gives no date (from_date): before week 8 it does not count."
    )
    other = stretching(weeks_ago(1), g.PASSIVE)
    assert not reasons(operated(recent, orders=(other,)), "clearance.no_start_date")


@pytest.mark.parametrize("later", [0, 7])
def test_leave_given_before_an_operation_or_on_its_day_says_that_it_does_not_count(
    later: int,
) -> None:
    order = stretching(weeks_ago(20))
    on = order.given_on + timedelta(days=later)
    known = operated(mastectomy(on), orders=(order,))
    [text] = reasons(known, "clearance.void")
    assert f"clearance of {order.given_on.isoformat()}" in text
    assert f"the operation of {on.isoformat()}" in text
    assert "does not count any more" in text
    assert [warning.code for warning in g.evaluated(known).warnings] == ["clearance.void"]
    before = operated(mastectomy(order.given_on - timedelta(days=1)), orders=(order,))
    assert not reasons(before, "clearance.void")
    assert not g.evaluated(before).warnings
    lifted = operated(mastectomy(on), orders=(replace(order, lifted_on=g.DAY),))
    assert not reasons(lifted, "clearance.void"), "it had ended anyway"


def test_only_the_operated_side_and_region_wait() -> None:
    known = operated(mastectomy(weeks_ago(3)))
    assert g.stretch_permission(known, g.FLEXION, g.CR, Side.LEFT).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.FLEXION, g.CR, Side.RIGHT).mode is Mode.HANDS_ON
    assert g.stretch_permission(known, g.HAMSTRINGS, g.PASSIVE, Side.LEFT).mode is Mode.HANDS_ON
    assert g.stretch_permission(known, g.CHEST, g.CR).mode is Mode.NOT_TODAY, (
        "two-armed: the worse side"
    )
    # A hand on the opposite, operated shoulder is work there too.
    assert g.stretch_permission(known, g.TRICEPS, g.PASSIVE, Side.RIGHT).mode is Mode.NOT_TODAY


def test_the_weeks_count_from_the_latest_operation_and_it_voids_earlier_leave() -> None:
    first = mastectomy(weeks_ago(40))
    order = stretching(weeks_ago(20))
    assert (
        g.stretch_permission(operated(first, orders=(order,)), g.FLEXION, g.CR).mode
        is Mode.HANDS_ON
    )
    later = g.healed(OperationKind.IMPLANT, Side.LEFT, weeks_ago(12), id=UUID(int=51))
    voided = g.stretch_permission(operated(first, later, orders=(order,)), g.FLEXION, g.CR)
    assert g.codes(voided) >= {"surgery.no_clearance"}
    fresh = stretching(weeks_ago(11))
    again = operated(first, later, orders=(order, fresh))
    assert g.stretch_permission(again, g.FLEXION, g.CR).mode is Mode.HANDS_ON


def test_with_two_operations_there_the_weeks_count_from_the_later_one() -> None:
    order = stretching(weeks_ago(0.5))
    later = g.healed(OperationKind.IMPLANT, Side.LEFT, weeks_ago(2), id=UUID(int=51))
    for both in ((mastectomy(weeks_ago(40)), later), (later, mastectomy(weeks_ago(40)))):
        found = g.stretch_permission(operated(*both, orders=(order,)), g.FLEXION, g.CR)
        assert "surgery.weeks" in g.codes(found)


def test_an_operation_whose_date_is_not_known_keeps_assisted_techniques_shut() -> None:
    known = operated(mastectomy(None), orders=(stretching(weeks_ago(1)),))
    assert "surgery.date_unknown" in g.codes(g.stretch_permission(known, g.FLEXION, g.PASSIVE))


def test_leave_counts_only_from_a_surgeon_for_its_sites_until_it_expires_or_is_lifted() -> None:
    old = mastectomy(weeks_ago(20))
    good = stretching(weeks_ago(2))
    for change in (
        {"prescriber": Prescriber.PHYSICIAN},
        {"sites": (g.site(Region.SHOULDER, Side.RIGHT),)},
        {"sites": (g.site(Region.SHOULDER, Side.LEFT),)},  # the arm is held too
        {"expires_on": g.DAY - timedelta(days=1)},
        {"lifted_on": g.DAY},
        {"subjects": (OrderSubject.PELVIC_TILTS,)},
    ):
        known = operated(old, orders=(replace(good, **change),))  # type: ignore[arg-type]
        assert g.stretch_permission(known, g.FLEXION, g.CR).mode is Mode.NOT_TODAY, change
    last_day = replace(good, expires_on=g.DAY)
    assert (
        g.stretch_permission(operated(old, orders=(last_day,)), g.FLEXION, g.CR).mode
        is Mode.HANDS_ON
    )


def test_contract_relax_of_the_chest_needs_leave_for_resisted_work_with_an_expander_in() -> None:
    # Common practice, no source: contract-relax of the chest is resisted pectoral work.
    general = stretching(weeks_ago(1))
    resisted = g.clearance_order(
        OrderSubject.RESISTED_CHEST_WORK, sites=LEFT_UPPER, given_on=weeks_ago(1)
    )
    out = mastectomy(weeks_ago(30))
    for operation in (
        replace(out, expander_in=True),
        replace(out, expander_in=None),
        g.healed(OperationKind.EXPANDER, Side.LEFT, weeks_ago(30), expander_in=None),
    ):
        one = g.stretch_permission(operated(operation, orders=(general,)), g.CHEST_ONE_ARM, g.CR)
        assert "surgery.expander" in g.codes(one)
        both = operated(operation, orders=(general, resisted))
        assert "surgery.expander" not in g.codes(g.stretch_permission(both, g.CHEST_ONE_ARM, g.CR))
    assert "surgery.expander" not in g.codes(
        g.stretch_permission(operated(out, orders=(general,)), g.CHEST_ONE_ARM, g.CR)
    )


def test_the_arm_stays_at_shoulder_height_while_drains_are_in_or_for_two_weeks() -> None:
    # Patient leaflets of national bodies: arms to shoulder height while drains are in or about
    # the first two weeks.
    at_90 = {"shoulder_abduction": 90.0, "shoulder_flexion": 90.0}
    fresh = operated(mastectomy(g.DAY - timedelta(days=13)))
    assert g.degrees(g.stretch_permission(fresh, g.FLEXION)) == at_90
    assert g.stretch_permission(fresh, g.FLEXION).mode is Mode.HANDS_ON
    assert g.degrees(g.stretch_permission(fresh, g.FLEXION, side=Side.RIGHT)) == {}
    assert g.degrees(g.stretch_permission(fresh, g.V)) == at_90, "two-armed: the worse side"
    later = operated(mastectomy(g.DAY - timedelta(days=14)))
    assert g.degrees(g.stretch_permission(later, g.FLEXION)) == {}
    for drains in (False, None):
        draining = operated(mastectomy(weeks_ago(4), drains_out=drains))
        assert g.degrees(g.stretch_permission(draining, g.FLEXION)) == at_90
    leg = operated(g.healed(OperationKind.PELVIC, Side.LEFT, g.DAY - timedelta(days=3)))
    assert g.degrees(g.stretch_permission(leg, g.FLEXION)) == {}
    above = g.clearance_order(
        OrderSubject.ARM_ABOVE_SHOULDER, sites=LEFT_UPPER, given_on=g.DAY - timedelta(days=1)
    )
    lifted = operated(mastectomy(g.DAY - timedelta(days=5)), orders=(above,))
    assert g.degrees(g.stretch_permission(lifted, g.FLEXION)) == {}


def test_a_position_that_needs_more_range_than_is_left_is_not_taken() -> None:
    needy = replace(g.V, needs=(RangeLimit(movement=Movement.SHOULDER_FLEXION, degrees=120),))
    fresh = operated(mastectomy(g.DAY - timedelta(days=10)))
    assert "range.position" in g.codes(g.stretch_permission(fresh, needy))
    assert g.stretch_permission(fresh, needy).mode is Mode.NOT_TODAY
    assert g.stretch_permission(g.OPEN, needy).mode is Mode.HANDS_ON


@pytest.mark.parametrize("healed", [False, None])
def test_an_incision_not_recorded_as_healed_makes_that_side_self_directed(
    healed: bool | None,
) -> None:
    # Common practice, no source.
    known = operated(mastectomy(weeks_ago(6), incision_healed=healed))
    flexion = g.stretch_permission(known, g.FLEXION)
    assert (flexion.mode, g.codes(flexion)) == (Mode.SELF_DIRECTED, {"surgery.incision"})
    assert g.stretch_permission(known, g.FLEXION, side=Side.RIGHT).mode is Mode.HANDS_ON
    assert g.stretch_permission(known, g.CHEST_ONE_ARM, side=Side.LEFT).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.CHEST).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.TRICEPS, side=Side.RIGHT).mode is Mode.SELF_DIRECTED


def test_cross_body_after_latissimus_reconstruction_waits_for_the_donor_incision() -> None:
    # Common practice, no source.
    flap = g.healed(OperationKind.LATISSIMUS_RECONSTRUCTION, Side.LEFT, weeks_ago(10))
    open_back = operated(replace(flap, donor_incision_healed=None))
    assert g.stretch_permission(open_back, g.CROSS_BODY).mode is Mode.NOT_TODAY
    assert "surgery.donor_incision" in g.codes(g.stretch_permission(open_back, g.CROSS_BODY))
    assert g.stretch_permission(open_back, g.FLEXION).mode is Mode.HANDS_ON
    assert g.stretch_permission(operated(flap), g.CROSS_BODY).mode is Mode.HANDS_ON


def test_after_an_abdominal_flap_walking_and_breathing_only_until_leave() -> None:
    # UHN leaflet and OncoLink 2005: walking and breathing until about two months, then by the
    # surgeon's clearance; curls about 12 weeks.
    flap = g.healed(OperationKind.ABDOMINAL_FLAP, Side.BOTH, weeks_ago(11))
    known = operated(flap)
    permissions = g.evaluated(known)
    left = {v.stretch for v in permissions.stretch_permissions if v.mode is not Mode.NOT_TODAY}
    assert left == {"breathing"}
    abdomen = (g.site(Region.ABDOMEN),)
    stretch = g.clearance_order(OrderSubject.STRETCHING, sites=abdomen, given_on=weeks_ago(1))
    tilts = g.clearance_order(OrderSubject.PELVIC_TILTS, sites=abdomen, given_on=weeks_ago(1))
    curls = g.clearance_order(OrderSubject.CURLS, sites=abdomen, given_on=weeks_ago(1))
    assert g.stretch_permission(operated(flap, orders=(stretch,)), g.FLEXION).mode is Mode.HANDS_ON
    assert g.stretch_permission(operated(flap, orders=(stretch,)), g.TILTS).mode is Mode.NOT_TODAY
    assert g.stretch_permission(operated(flap, orders=(tilts,)), g.TILTS).mode is Mode.SELF_DIRECTED
    early = g.stretch_permission(operated(flap, orders=(curls,)), g.CURLS)
    assert g.codes(early) >= {"abdomen.curls_weeks"}
    assert "flap.curls_no_clearance" not in g.codes(early)
    late = replace(flap, on=weeks_ago(12))
    assert g.stretch_permission(operated(late, orders=(curls,)), g.CURLS).mode is Mode.SELF_DIRECTED
    bent = operated(replace(late, stands_erect=None), orders=(curls,))
    assert "flap.erect" in g.codes(g.stretch_permission(bent, g.CURLS))
    assert "flap.curls_no_clearance" in g.codes(g.stretch_permission(operated(late), g.CURLS))


def test_after_head_and_neck_surgery_the_neck_waits_for_healing_and_leave() -> None:
    # Common practice, no source.
    operation = g.healed(OperationKind.HEAD_AND_NECK, Side.LEFT, weeks_ago(20))
    sites = tuple(g.site(r, Side.LEFT) for r in (Region.HEAD_AND_NECK, Region.SHOULDER))
    order = g.clearance_order(OrderSubject.STRETCHING, sites=sites, given_on=weeks_ago(1))
    assert g.stretch_permission(operated(operation), g.EAR_TO_SHOULDER).mode is Mode.NOT_TODAY
    assert g.stretch_permission(operated(operation), g.CHIN_TO_CHEST).mode is Mode.NOT_TODAY
    assert (
        g.stretch_permission(operated(operation), g.EAR_TO_SHOULDER, side=Side.RIGHT).mode
        is Mode.HANDS_ON
    )
    unhealed = replace(operation, incision_healed=None)
    assert (
        g.stretch_permission(operated(unhealed, orders=(order,)), g.EAR_TO_SHOULDER).mode
        is Mode.NOT_TODAY
    )
    assert (
        g.stretch_permission(operated(operation, orders=(order,)), g.EAR_TO_SHOULDER).mode
        is Mode.HANDS_ON
    )


def test_an_operation_of_an_unknown_kind_with_no_region_touches_everything() -> None:
    known = operated(g.healed(OperationKind.OTHER, Side.LEFT, weeks_ago(2)))
    assert g.stretch_permission(known, g.HAMSTRINGS, g.PASSIVE).mode is Mode.NOT_TODAY
    named = operated(g.healed(OperationKind.OTHER, Side.LEFT, weeks_ago(2), regions=(Region.ARM,)))
    assert g.stretch_permission(named, g.HAMSTRINGS, g.PASSIVE).mode is Mode.HANDS_ON


def test_an_order_lifts_health_and_time_gates_only() -> None:
    everything = g.clearance_order(
        *OrderSubject,
        sites=tuple(g.site(region) for region in Region),
        given_on=weeks_ago(1),
        techniques=g.ALL,
        from_date=weeks_ago(1),
    )
    early = operated(mastectomy(weeks_ago(4)), orders=(everything,))
    assert g.stretch_permission(early, g.FLEXION, g.CR).mode is Mode.HANDS_ON
    for change in (
        {"consent": replace(g.CONSENT, status=ConsentStatus.WITHDRAWN)},
        {"limits": ()},
        {"practitioner": replace(g.THERAPIST, competences=())},
        {"facility": replace(g.OPEN.facility, hands_on=False)},
        {"arrival": g.arrival(fever=True)},
    ):
        known = g.facts(orders=(everything,))
        assert g.evaluated(g.facts(known, **change)).mode is not Mode.HANDS_ON, change


def test_reasons_of_health_are_for_clinical_eyes_only() -> None:
    known = operated(mastectomy(weeks_ago(1), incision_healed=None))
    for stretch_permission in g.evaluated(known).stretch_permissions:
        for reason in stretch_permission.reasons:
            if reason.code.startswith(("surgery.", "flap.")):
                assert reason.audience is Audience.CLINICAL
