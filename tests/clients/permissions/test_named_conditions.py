"""Ruling 51: conditions that have a name, each at its bounds and on both sides of the body."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import msgspec
import pytest

from clients.clinical.domain.limbs import LoadedLimb
from clients.health.domain.content import Condition
from clients.health.domain.terms import ConditionKind
from clients.orders.domain.terms import OrderSubject, Prescriber
from clients.permissions.domain.inputs import PermissionFacts
from practice.core.terms import Mode, Movement, Region, Side
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
HANDS, ALONE, NOT = Mode.HANDS_ON, Mode.SELF_DIRECTED, Mode.NOT_TODAY
EXTENSION = replace(g.FLEXION, code="extension", movements=(Movement.SHOULDER_EXTENSION,))
PECTORAL = replace(g.CHEST_ONE_ARM, contacts=())
ON_CHEST = replace(g.FLEXION, code="on_chest", contacts=(g.ContactSite(region=Region.CHEST),))
BELLY = replace(g.CURLS, code="belly", tags=frozenset(), techniques=g.ALL)

ON_BELLY = replace(BELLY, code="on_belly", contacts=(g.ContactSite(region=Region.ABDOMEN),))


def ago(days: int) -> date:
    return g.DAY - timedelta(days=days)


def having(condition: Condition, told: str = "reviewed", **more: Any) -> PermissionFacts:
    history = g.history(conditions=(condition,))
    facts: Any = {"reviewed": history} if told == "reviewed" else {"reported": (history,)}
    return g.facts(**facts, **more)


def of(
    kind: ConditionKind, *where: tuple[Region, Side], told: str = "reviewed", **more: Any
) -> PermissionFacts:
    condition = g.condition(kind, *(g.site(region, side) for region, side in where))
    return having(replace(condition, **more), told)


def cleared(subject: OrderSubject, given_on: date, known: PermissionFacts) -> PermissionFacts:
    order = g.clearance_order(subject, sites=(), given_on=given_on, prescriber=Prescriber.PHYSICIAN)
    return g.facts(known, orders=(order,))


def mode(known: PermissionFacts, stretch: Any, technique: Any = g.AI, side: Any = None) -> Mode:
    return g.stretch_permission(known, stretch, technique, side).mode


def load(known: PermissionFacts) -> dict[LoadedLimb, bool]:
    return {one.limb: one.open for one in g.evaluated(known).load}


def load_cautions(known: PermissionFacts, limb: LoadedLimb) -> set[str]:
    found = next(one for one in g.evaluated(known).load if one.limb is limb)
    return {one.code for one in found.cautions}


def warned(known: PermissionFacts) -> set[str]:
    return {one.code for one in g.evaluated(known).warnings}


TOLD = pytest.mark.parametrize("told", ["reviewed", "reported"])
BOTH_SIDES = pytest.mark.parametrize(
    ("side", "other"), [(Side.LEFT, Side.RIGHT), (Side.RIGHT, Side.LEFT)]
)


@TOLD
def test_anticoagulants_leave_no_forced_end_range(told: str) -> None:
    known = of(ConditionKind.ANTICOAGULANTS, told=told)
    assert [mode(known, g.FLEXION, t) for t in (g.AI, g.CR, g.PASSIVE)] == [HANDS, NOT, NOT]
    cautions = g.stretch_permission(known, g.FLEXION).cautions
    assert "anticoagulants.bruises" in {one.code for one in cautions}
    assert "anticoagulants.bruises" in warned(known)
    assert all(load(known).values())


@pytest.mark.parametrize(("until", "relax"), [(ago(0), NOT), (ago(1), HANDS)])
def test_anticoagulants_end_with_their_last_day(until: date, relax: Mode) -> None:
    known = of(ConditionKind.ANTICOAGULANTS, since=ago(90), until=until)
    assert mode(known, g.FLEXION, g.CR) is relax


@BOTH_SIDES
@TOLD
def test_a_clot_in_an_arm_waits_for_a_clearance_and_leaves_that_arm_gentle(
    side: Side, other: Side, told: str
) -> None:
    known = of(ConditionKind.ARM_CLOT, (Region.ARM, side), told=told, since=ago(5))
    assert g.evaluated(known).mode is NOT
    assert not any(load(known).values())
    before = cleared(OrderSubject.WORK_AFTER_CLOT, ago(6), known)
    assert g.evaluated(before).mode is NOT
    after = cleared(OrderSubject.WORK_AFTER_CLOT, ago(5), known)
    assert mode(after, g.FLEXION, g.AI, side) is HANDS
    assert mode(after, g.FLEXION, g.CR, side) is NOT
    assert mode(after, g.FLEXION, g.CR, other) is HANDS
    assert all(load(after).values())


@BOTH_SIDES
@TOLD
@pytest.mark.parametrize(
    ("since", "until", "inside"),
    [
        (ago(0), ago(0), True),
        (ago(2), None, True),
        (ago(2), ago(1), False),
        (ago(-1), ago(-2), False),
        (None, ago(0), True),
    ],
)
def test_a_needle_in_the_port_bars_contact_and_pull_there(
    side: Side, other: Side, told: str, since: date | None, until: date | None, inside: bool
) -> None:
    known = of(
        ConditionKind.IMPLANTED_PORT,
        (Region.CHEST, side),
        told=told,
        since=ago(100),
        accessed_from=since,
        accessed_until=until,
    )
    assert ("port.ask" in warned(known)) is not inside
    known = g.facts(known, arrival=g.arrival(needle_in_port=False))
    assert mode(known, PECTORAL, side=side) is (NOT if inside else ALONE)
    assert mode(known, ON_CHEST, side=side) is (ALONE if inside else HANDS)
    assert mode(known, ON_CHEST, side=other) is HANDS
    arms = {Side.LEFT: LoadedLimb.LEFT_ARM, Side.RIGHT: LoadedLimb.RIGHT_ARM}
    assert load(known)[arms[side]] is not inside
    assert load(known)[arms[other]]
    assert "port.ask" not in warned(known)


@BOTH_SIDES
@pytest.mark.parametrize(("since", "new"), [(ago(6), True), (ago(7), False), (None, True)])
def test_a_new_port_keeps_the_arm_low_and_unloaded(
    side: Side, other: Side, since: date | None, new: bool
) -> None:
    # Leaflet for patients (Alberta): the first week.
    known = of(ConditionKind.IMPLANTED_PORT, (Region.CHEST, side), since=since)
    known = g.facts(known, arrival=g.arrival(needle_in_port=False))
    raised = g.degrees(g.stretch_permission(known, g.FLEXION, side=side))
    assert (raised.get("shoulder_flexion") == 90) is new
    assert g.degrees(g.stretch_permission(known, g.FLEXION, side=other)) == {}
    assert mode(known, EXTENSION, side=side) is (NOT if new else HANDS)
    assert mode(known, EXTENSION, side=other) is HANDS
    arms = {Side.LEFT: LoadedLimb.LEFT_ARM, Side.RIGHT: LoadedLimb.RIGHT_ARM}
    assert load(known)[arms[side]] is not new
    assert load(known)[arms[other]]


@TOLD
@pytest.mark.parametrize(
    ("since", "weeks_passed"), [(ago(83), False), (ago(84), True), (None, False)]
)
def test_a_stoma_bars_assisted_pull_and_waits_with_weights(
    told: str, since: date | None, weeks_passed: bool
) -> None:
    # NSWOC: no heavy lifting for 3 months; weights with permission (PMC4470419).
    known = of(ConditionKind.STOMA, told=told, since=since)
    assert "stoma.pull" in g.codes(g.stretch_permission(known, BELLY, g.CR))
    assert "stoma.pull" not in g.codes(g.stretch_permission(known, BELLY, g.AI))
    assert mode(known, ON_BELLY, g.CR) is NOT
    assert mode(known, ON_BELLY, g.AI) is ALONE
    assert mode(known, g.FLEXION, g.CR) is HANDS
    assert mode(known, g.CURLS) is NOT
    assert not any(load(known).values())
    order = g.clearance_order(OrderSubject.LOAD, sites=(), given_on=ago(10))
    assert any(load(g.facts(known, orders=(order,))).values()) is weeks_passed
    assert (mode(g.facts(known, orders=(order,)), g.CURLS) is NOT) is not weeks_passed


@TOLD
@pytest.mark.parametrize("kind", [ConditionKind.BRAIN_METASTASIS, ConditionKind.SEIZURES])
def test_brain_metastasis_and_seizures_wait_for_a_clearance_given_after(
    kind: ConditionKind, told: str
) -> None:
    known = of(kind, told=told, since=ago(20))
    assert g.evaluated(known).mode is NOT
    assert not any(load(known).values())
    before = cleared(OrderSubject.WORK_WITH_BRAIN_CONDITION, ago(21), known)
    assert g.evaluated(before).mode is NOT
    after = cleared(OrderSubject.WORK_WITH_BRAIN_CONDITION, ago(20), known)
    assert g.evaluated(after).mode is HANDS
    undated = cleared(OrderSubject.WORK_WITH_BRAIN_CONDITION, ago(0), of(kind, told=told))
    assert g.evaluated(undated).mode is NOT


@pytest.mark.parametrize(("days", "recent"), [(182, True), (183, False)])
def test_half_a_year_after_a_seizure_nothing_goes_overhead_and_never_alone(
    days: int, recent: bool
) -> None:
    known = cleared(
        OrderSubject.WORK_WITH_BRAIN_CONDITION,
        ago(days),
        of(ConditionKind.SEIZURES, since=ago(days)),
    )
    for side in (Side.LEFT, Side.RIGHT):
        limits = g.degrees(g.stretch_permission(known, g.FLEXION, side=side))
        assert (limits.get("shoulder_flexion") == 90) is recent
    assert ("seizure.never_alone" in warned(known)) is recent
    assert ("load.overhead" in load_cautions(known, LoadedLimb.LEFT_ARM)) is recent


@TOLD
@pytest.mark.parametrize("kind", [ConditionKind.HEART_DISEASE, ConditionKind.HEART_DEVICE])
def test_the_heart_waits_for_a_clearance_for_load_given_since(
    kind: ConditionKind, told: str
) -> None:
    known = of(kind, told=told, since=ago(20))
    assert not any(load(known).values())
    assert mode(known, g.HAMSTRINGS) is HANDS
    relax = g.stretch_permission(known, g.HAMSTRINGS, g.CR)
    assert "heart.breath" in {one.code for one in relax.cautions}
    assert not any(load(cleared(OrderSubject.LOAD, ago(21), known)).values())
    assert all(load(cleared(OrderSubject.LOAD, ago(20), known)).values())
    assert "heart.exertion" in warned(known)


@BOTH_SIDES
def test_a_heart_device_is_neither_touched_nor_pulled_on(side: Side, other: Side) -> None:
    known = of(ConditionKind.HEART_DEVICE, (Region.CHEST, side), since=ago(400))
    assert mode(known, ON_CHEST, side=side) is ALONE
    assert mode(known, ON_CHEST, side=other) is HANDS
    assert mode(known, g.CHEST_ONE_ARM, g.PASSIVE, side) is NOT
    assert mode(known, g.CHEST_ONE_ARM, g.PASSIVE, other) is HANDS


@TOLD
def test_numb_feet_close_assisted_stretching_there_and_ask_for_something_firm(told: str) -> None:
    known = of(ConditionKind.NUMB_FEET, told=told)
    for side in (Side.LEFT, Side.RIGHT):
        assert mode(known, g.HAMSTRINGS, g.PASSIVE, side) is NOT
        assert mode(known, g.HAMSTRINGS, g.AI, side) is HANDS
    assert mode(known, g.FLEXION, g.PASSIVE) is HANDS
    left = of(ConditionKind.NUMB_FEET, (Region.LEG, Side.LEFT), told=told)
    assert mode(left, g.HAMSTRINGS, g.PASSIVE, Side.LEFT) is NOT
    assert mode(left, g.HAMSTRINGS, g.PASSIVE, Side.RIGHT) is HANDS


@pytest.mark.parametrize("kind", [ConditionKind.NUMB_FEET, ConditionKind.FALLS])
def test_numb_feet_and_falls_load_legs_with_care(kind: ConditionKind) -> None:
    known = of(kind)
    assert "falls.unsteady" in warned(known)
    assert all(load(known).values())
    assert "load.unsteady" in load_cautions(known, LoadedLimb.LEFT_LEG)
    assert "load.unsteady" not in load_cautions(known, LoadedLimb.LEFT_ARM)


def test_a_compression_garment_is_the_clients_choice_and_narrows_nothing() -> None:
    known = of(ConditionKind.COMPRESSION_GARMENT, (Region.ARM, Side.LEFT))
    found = g.stretch_permission(known, g.FLEXION, g.PASSIVE)
    assert found.mode is HANDS
    assert "garment.choice" in {one.code for one in found.cautions}
    right = g.stretch_permission(known, g.FLEXION, g.PASSIVE, Side.RIGHT)
    assert "garment.choice" not in {one.code for one in right.cautions}
    assert all(load(known).values())
    assert "garment.choice" in load_cautions(known, LoadedLimb.LEFT_ARM)
    assert "garment.choice" not in load_cautions(known, LoadedLimb.RIGHT_ARM)


@TOLD
@pytest.mark.parametrize(
    ("until", "watched"), [(None, True), (ago(-5), True), (ago(28), True), (ago(29), False)]
)
def test_irradiated_skin_is_looked_at_each_session_until_four_weeks_after(
    told: str, until: date | None, watched: bool
) -> None:
    chest = g.site(Region.CHEST, Side.LEFT)

    def known(seen: date | None, *, broken: bool = False) -> PermissionFacts:
        course = g.radiation(
            chest, skin_broken=broken, from_date=ago(60), until_date=until, skin_seen_on=seen
        )
        history = g.history(radiations=(course,))
        return g.facts(
            **({"reviewed": history} if told == "reviewed" else {"reported": (history,)})
        )

    assert mode(known(g.DAY), g.CHEST_ONE_ARM) is HANDS
    for seen in (None, ago(1)):
        found = g.stretch_permission(known(seen), g.CHEST_ONE_ARM)
        assert found.mode is (ALONE if watched else HANDS)
        assert found.planned is HANDS, "the look of the day may still be taken"
        assert mode(known(seen), g.CHEST_ONE_ARM, side=Side.RIGHT) is HANDS
        assert ("skin.look" in warned(known(seen))) is watched
    assert mode(known(ago(1), broken=True), g.CHEST_ONE_ARM) is NOT
    assert load(known(ago(1), broken=True))[LoadedLimb.LEFT_ARM] is False
