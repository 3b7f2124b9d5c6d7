"""Which limb may carry load, rule by rule at its boundary, with the source of each."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import msgspec
import pytest

from clients.clinical.domain.limbs import LoadedLimb
from clients.health.domain.content import BodySite, Operation
from clients.health.domain.terms import ClearanceNeed, ConditionKind, Limb, OperationKind, RedFlag
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from clients.permissions.domain.inputs import PermissionFacts, StopFacts, SwollenLimb
from clients.permissions.domain.results import LoadPermission
from practice.core.terms import Mode, Region, Side
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
LEFT_ARM, TRUNK = LoadedLimb.LEFT_ARM, LoadedLimb.TRUNK
LIMBS = frozenset(LoadedLimb)


def weeks_ago(weeks: float) -> date:
    return g.DAY - timedelta(days=int(weeks * 7))


def load(known: PermissionFacts, limb: LoadedLimb = LEFT_ARM) -> LoadPermission:
    return next(one for one in g.evaluated(known).load if one.limb is limb)


def open_limbs(known: PermissionFacts) -> frozenset[LoadedLimb]:
    return frozenset(one.limb for one in g.evaluated(known).load if one.open)


def codes(found: LoadPermission) -> set[str]:
    return {reason.code for reason in found.reasons}


def operated(*operations: Operation, orders: tuple[MedicalOrder, ...] = ()) -> PermissionFacts:
    return g.facts(reviewed=g.history(operations=operations), orders=orders)


def mastectomy(on: date | None, **more: Any) -> Operation:
    return g.healed(OperationKind.MASTECTOMY, Side.LEFT, on, **more)


def load_order(**more: Any) -> MedicalOrder:
    """A physician's clearance for load."""
    given: dict[str, Any] = {
        "sites": (),
        "given_on": weeks_ago(1),
        "prescriber": Prescriber.PHYSICIAN,
    }
    return g.clearance_order(OrderSubject.LOAD, **(given | more))


def restriction(*subjects: OrderSubject, **more: Any) -> MedicalOrder:
    given: dict[str, Any] = {
        "kind": OrderKind.RESTRICTION,
        "sites": (),
        "given_on": weeks_ago(1),
        "widest_mode": Mode.NOT_TODAY,
    }
    return g.clearance_order(*subjects, **(given | more))


def test_a_client_with_nothing_on_record_against_it_may_load_every_limb() -> None:
    assert open_limbs(g.OPEN) == LIMBS


# The clearance that the history asks for

ASKED = g.history(clearance_need=ClearanceNeed.NEEDED)


@pytest.mark.parametrize("need", [ClearanceNeed.NEEDED, ClearanceNeed.NOT_ASKED])
def test_nothing_is_loaded_while_clearance_is_needed_or_was_not_asked(need: ClearanceNeed) -> None:
    assert open_limbs(g.facts(reviewed=g.history(clearance_need=need))) == frozenset()
    assert open_limbs(g.facts(reviewed=None)) == frozenset()


def test_a_clearance_for_load_without_sites_opens_all_and_one_with_sites_only_those() -> None:
    assert open_limbs(g.facts(reviewed=ASKED, orders=(load_order(),))) == LIMBS
    arm = load_order(sites=(g.site(Region.ARM, Side.LEFT),))
    assert open_limbs(g.facts(reviewed=ASKED, orders=(arm,))) == {LEFT_ARM}


def test_a_clearance_that_is_void_revoked_over_or_for_something_else_opens_nothing() -> None:
    # Found over HTTP: a voided clearance left every limb open while stretches were closed.
    orders = {
        "revoked": load_order(lifted_on=g.DAY),
        "over": load_order(expires_on=g.DAY - timedelta(days=1)),
        "not begun": load_order(from_date=g.DAY + timedelta(days=1)),
        "for stretching": g.clearance_order(
            OrderSubject.STRETCHING, sites=(g.site(Region.ARM),), given_on=weeks_ago(1)
        ),
    }
    for case, order in orders.items():
        assert open_limbs(g.facts(reviewed=ASKED, orders=(order,))) == frozenset(), case
    since = replace(ASKED, operations=(mastectomy(weeks_ago(30)),))
    before = load_order(given_on=weeks_ago(31))
    assert open_limbs(g.facts(reviewed=since, orders=(before,))) == frozenset()
    undated = replace(ASKED, operations=(mastectomy(None),))
    assert open_limbs(g.facts(reviewed=undated, orders=(load_order(),))) == frozenset(), (
        "an operation of unknown date may have come after it"
    )


@pytest.mark.parametrize(
    ("on", "opens"),
    [(None, False), (weeks_ago(2) - timedelta(days=1), True), (weeks_ago(2), False)],
    ids=["not even the year known", "the day before", "the same day"],
)
def test_an_operation_elsewhere_voids_a_clearance_unless_it_was_before(
    on: date | None, opens: bool
) -> None:
    # A later operation voids leave given before it, wherever it was; unknown is never wider.
    arm = load_order(sites=(g.site(Region.ARM, Side.RIGHT),), given_on=weeks_ago(2))
    known = g.facts(reviewed=replace(ASKED, operations=(mastectomy(on),)), orders=(arm,))
    assert (LoadedLimb.RIGHT_ARM in open_limbs(known)) is opens


# Weeks, healing and pain


@pytest.mark.parametrize(("days", "opens"), [(27, False), (28, True)])
def test_an_operated_limb_waits_for_week_four(days: int, opens: bool) -> None:
    # PROSPER: load from 4 weeks (BMC Health Serv Res 2018;18:463).
    known = operated(mastectomy(g.DAY - timedelta(days=days)))
    found = load(known)
    assert found.open is opens
    assert codes(found) == (set() if opens else {"load.weeks"})
    assert open_limbs(known) >= LIMBS - {LEFT_ARM}


def test_an_operation_of_unknown_date_or_place_closes_what_it_may_have_touched() -> None:
    assert "load.weeks" in codes(load(operated(mastectomy(None))))
    anywhere = operated(g.healed(OperationKind.OTHER, Side.BOTH, weeks_ago(3)))
    assert open_limbs(anywhere) == frozenset()


def test_a_report_closes_like_a_reviewed_history() -> None:
    told = g.history(operations=(mastectomy(weeks_ago(2)),))
    assert not load(g.facts(reported=(told,))).open


@pytest.mark.parametrize("healed", [False, None])
def test_an_incision_not_recorded_as_healed_carries_no_load(healed: bool | None) -> None:
    # Common practice, no source.
    known = operated(mastectomy(weeks_ago(10), incision_healed=healed))
    assert codes(load(known)) == {"load.incision"}
    assert load(known, LoadedLimb.RIGHT_ARM).open


def test_skin_broken_by_radiation_is_not_pulled_on_by_load() -> None:
    # Common practice, no source.
    chest = g.site(Region.CHEST, Side.LEFT)
    for broken, opens in ((True, False), (False, True)):
        course = g.radiation(chest, skin_broken=broken)
        assert load(g.facts(reviewed=g.history(radiations=(course,)))).open is opens


@pytest.mark.parametrize(("pain", "opens"), [(3, True), (4, False)])
def test_pain_above_three_closes_load(pain: int, opens: bool) -> None:
    # Practice policy.
    assert (open_limbs(g.facts(arrival=g.arrival(pain=pain))) == LIMBS) is opens


def test_on_an_operated_limb_pain_is_asked_first() -> None:
    known = g.facts(operated(mastectomy(weeks_ago(30))), arrival=None)
    assert codes(load(known)) == {"load.pain_not_asked"}
    assert open_limbs(known) == LIMBS - {LEFT_ARM}


# The day and restrictions


@pytest.mark.parametrize(
    "changes",
    [
        {"arrival": g.arrival(signs=(RedFlag.CHEST_PAIN,))},
        {"arrival": g.arrival(signs=(RedFlag.HOT_RED_OR_BLOTCHY_LIMB,))},
        {"stop": StopFacts(minute=10, everything=True)},
    ],
)
def test_what_ends_the_day_ends_every_load(changes: dict[str, Any]) -> None:
    assert open_limbs(g.facts(**changes)) == frozenset()


def test_new_swelling_closes_that_limb() -> None:
    # Ruling 53: new swelling: that limb's load 0 until seen.
    swelling = (SwollenLimb(limb=Limb.ARM, side=Side.LEFT),)
    known = g.facts(arrival=g.arrival(swelling=swelling))
    assert open_limbs(known) == LIMBS - {LEFT_ARM}


@pytest.mark.parametrize(
    ("order", "closed"),
    [
        (restriction(), LIMBS),
        (restriction(sites=(g.site(Region.SHOULDER, Side.LEFT),)), {LEFT_ARM}),
        (restriction(OrderSubject.LOAD, widest_mode=Mode.SELF_DIRECTED), LIMBS),
        (restriction(OrderSubject.CURLS), {TRUNK}),
        (restriction(OrderSubject.RESISTED_CHEST_WORK), {LEFT_ARM, LoadedLimb.RIGHT_ARM}),
        (restriction(widest_mode=Mode.SELF_DIRECTED), set()),
        (restriction(techniques=(g.PASSIVE,)), set()),
        (restriction(OrderSubject.STRETCHING), set()),
        (restriction(lifted_on=g.DAY), set()),
    ],
)
def test_a_restriction_closes_the_load_that_it_speaks_of(
    order: MedicalOrder, closed: frozenset[LoadedLimb]
) -> None:
    assert open_limbs(g.facts(orders=(order,))) == LIMBS - closed


# Ruling 53: bone


KNOWN_SINCE = weeks_ago(10)


def bone(*sites: BodySite, since: date | None = KNOWN_SINCE) -> PermissionFacts:
    known = g.condition(ConditionKind.BONE_METASTASIS, *sites, since=since)
    return g.facts(reviewed=g.history(conditions=(known,)))


LEFT_HUMERUS = g.site(Region.ARM, Side.LEFT)
ARMS = {LEFT_ARM, LoadedLimb.RIGHT_ARM}
LEGS = {LoadedLimb.LEFT_LEG, LoadedLimb.RIGHT_LEG}


@pytest.mark.parametrize(
    ("site", "closed"),
    [
        (LEFT_HUMERUS, {LEFT_ARM}),
        (g.site(Region.LEG), LEGS),
        (g.site(Region.LOWER_BACK), {TRUNK, *LEGS}),
        (g.site(Region.UPPER_BACK), LIMBS),
        (g.site(Region.CHEST, Side.LEFT), {TRUNK, LEFT_ARM}),
        (g.site(Region.HIP, Side.LEFT), {TRUNK, LoadedLimb.LEFT_LEG}),
        (g.site(Region.HEAD_AND_NECK), {TRUNK, *ARMS}),
    ],
)
def test_bone_metastasis_closes_the_load_of_its_region(
    site: BodySite, closed: set[LoadedLimb]
) -> None:
    # Ruling 53; Campbell 2022, JCO Oncology Practice; ACSM 2019 table 5: spare the site.
    # Found over HTTP: strength 20 min proposed on an arm with a metastasis.
    assert open_limbs(bone(site)) == LIMBS - closed
    assert "load.metastasis" in codes(load(bone(site), min(closed)))


def test_a_metastasis_whose_site_is_not_named_may_be_anywhere() -> None:
    everywhere = load_order(sites=tuple(g.site(region) for region in Region))
    assert open_limbs(g.facts(bone(), orders=(everywhere,))) == frozenset()


def test_a_clearance_for_load_that_names_the_site_opens_it_with_care() -> None:
    known = bone(LEFT_HUMERUS)
    cleared = load(g.facts(known, orders=(load_order(sites=(LEFT_HUMERUS,)),)))
    assert cleared.open
    assert [one.code for one in cleared.cautions] == ["load.metastasis_cleared"]


@pytest.mark.parametrize(
    "order",
    [
        load_order(),
        load_order(sites=(g.site(Region.ARM, Side.RIGHT),)),
        load_order(sites=(LEFT_HUMERUS,), lifted_on=g.DAY),
        load_order(sites=(LEFT_HUMERUS,), given_on=weeks_ago(10) - timedelta(days=1)),
        g.clearance_order(
            OrderSubject.WORK_AT_BONE_SITE, sites=(LEFT_HUMERUS,), given_on=weeks_ago(1)
        ),
    ],
)
def test_no_other_clearance_opens_the_load_of_a_metastasis(order: MedicalOrder) -> None:
    # Without sites, for the other side, revoked, given before it was known, not for load.
    assert not load(g.facts(bone(LEFT_HUMERUS), orders=(order,))).open


def test_a_clearance_of_the_day_it_was_known_counts_and_an_unknown_day_never() -> None:
    order = load_order(sites=(LEFT_HUMERUS,), given_on=weeks_ago(10))
    assert load(g.facts(bone(LEFT_HUMERUS), orders=(order,))).open
    assert not load(g.facts(bone(LEFT_HUMERUS, since=None), orders=(order,))).open


def test_fragile_bone_closes_the_trunk_and_leaves_the_limbs_without_impact() -> None:
    # Ruling 53; Giangregorio 2015: activity encouraged, spine spared.
    known = g.facts(reviewed=g.history(conditions=(g.condition(ConditionKind.BONE_FRAGILITY),)))
    assert open_limbs(known) == LIMBS - {TRUNK}
    assert codes(load(known, TRUNK)) == {"load.fragile_trunk"}
    [caution] = load(known).cautions
    assert (caution.code, "no impact" in caution.text) == ("load.fragile", True)


# Ruling 53: swelling


def swelling(*sites: BodySite, suspected: bool = False) -> PermissionFacts:
    known = replace(g.condition(ConditionKind.LYMPHEDEMA, *sites), suspected=suspected)
    return g.facts(reviewed=g.history(conditions=(known,)))


def test_stable_lymphedema_leaves_load_open_with_a_caution() -> None:
    # 2019 roundtable, Campbell, Med Sci Sports Exerc 51:2375: start low, supervised.
    found = load(swelling(LEFT_HUMERUS))
    assert (found.open, found.swollen) == (True, True)
    [caution] = found.cautions
    assert "start low, progress slowly, supervised" in caution.text
    assert "circumferences are watched" in caution.text
    assert open_limbs(swelling()) == LIMBS


def test_a_suspected_swelling_is_seen_first() -> None:
    found = load(swelling(LEFT_HUMERUS, suspected=True))
    assert (found.open, codes(found)) == (False, {"load.swelling_suspected"})


def test_circumferences_that_say_refer_are_new_swelling_unless_lymphedema_is_known() -> None:
    watched = (SwollenLimb(limb=Limb.ARM, side=Side.LEFT),)
    assert open_limbs(g.facts(watched_limbs=watched)) == LIMBS - {LEFT_ARM}
    assert open_limbs(g.facts(swelling(LEFT_HUMERUS), watched_limbs=watched)) == LIMBS


def test_circumferences_that_grow_close_that_limb_lymphedema_or_not() -> None:
    growing = (SwollenLimb(limb=Limb.ARM, side=Side.LEFT),)
    for known in (g.OPEN, swelling(LEFT_HUMERUS)):
        assert open_limbs(g.facts(known, growing_limbs=growing)) == LIMBS - {LEFT_ARM}
