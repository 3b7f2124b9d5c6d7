"""One clinical truth: for any facts and any day, what permissions close is open nowhere else.

Facts are built from a client with whom everything may be done by hand, so that the rules of
the body are reached; how often each fires is counted and asserted.
"""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.clinical.domain.limbs import LoadedLimb
from clients.health.domain.content import BodySite, Condition, HistoryContent, Operation, Radiation
from clients.health.domain.terms import (
    ClearanceNeed,
    ConditionKind,
    Limb,
    OperationApproach,
    OperationKind,
    RedFlag,
)
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from clients.permissions.domain.evaluation import evaluate
from clients.permissions.domain.inputs import PermissionFacts, SwollenLimb
from clients.permissions.domain.load import day_bars, load_permissions
from clients.permissions.domain.results import SessionPermissions
from practice.core.terms import Credential, Mode, Region, SessionPart, Side, Technique
from sessions.measurements.domain.body import ArmMotion
from sessions.plan.selectors import planned_stretch
from sessions.session_split.domain.loading_criteria import (
    BodyFacts,
    LimbFacts,
    evaluate_loading_criteria,
)
from sessions.session_split.domain.share import SessionSplitFacts
from sessions.session_split.domain.suggestion import suggest_split
from sessions.stretches.models import Prescription
from tests.clients.permissions import given as g
from tests.clients.permissions.shipped import contents, shipped
from tests.sessions.shipped import HOUR

CATALOGUE = tuple(shipped(code) for code in contents())
FREE = ArmMotion(active_flexion=180, active_abduction=180)
RESTED = BodyFacts(sedentary=False, weeks_since_operation=104)
TRUNK = LoadedLimb.TRUNK
# What closes a stretch of one limb and its load alike.
WHOLE_LIMB = frozenset({"metastasis.no_clearance", "metastasis.suspected", "arrival.swelling"})
LIMB_OF_STRETCH = {
    ("flexion_pattern", Side.LEFT): LoadedLimb.LEFT_ARM,
    ("flexion_pattern", Side.RIGHT): LoadedLimb.RIGHT_ARM,
    ("hip_flexors", Side.LEFT): LoadedLimb.LEFT_LEG,
    ("hip_flexors", Side.RIGHT): LoadedLimb.RIGHT_LEG,
}

ids = st.integers(100, 10**9).map(lambda number: UUID(int=number))
sides = st.sampled_from(list(Side))
healing = st.sampled_from([True, True, True, False, None])
ages = st.sampled_from([3, 20, 27, 28, 41, 42, 60, 83, 84, 200, 400])
some_days = st.one_of(ages.map(lambda n: g.DAY - timedelta(days=n)), st.none())
sites = st.builds(BodySite, region=st.sampled_from(list(Region)), side=sides)
operations = st.builds(
    Operation,
    id=ids,
    kind=st.sampled_from(list(OperationKind)),
    side=sides,
    on=some_days,
    approach=st.none() | st.sampled_from(list(OperationApproach)),
    incision_healed=healing,
    drains_out=healing,
    donor_incision_healed=healing,
    expander_in=st.none(),
    stands_erect=healing,
)
# Those whose rules are asserted below come up more often.
ASSERTED = (
    ConditionKind.BONE_METASTASIS,
    ConditionKind.BONE_FRAGILITY,
    ConditionKind.LYMPHEDEMA,
    ConditionKind.CLOT,
)
kinds = [*ConditionKind, *ASSERTED * 6]
conditions = st.builds(
    Condition,
    id=ids,
    kind=st.sampled_from(kinds),
    sites=st.lists(sites, max_size=2).map(tuple),
    since=some_days,
    suspected=st.booleans(),
)
radiations = st.builds(
    Radiation,
    id=ids,
    sites=st.lists(sites, min_size=1, max_size=2).map(tuple),
    skin_broken=st.booleans(),
)
recent = st.integers(0, 60).map(lambda n: g.DAY - timedelta(days=n))
orders = st.builds(
    MedicalOrder,
    id=ids,
    kind=st.sampled_from([OrderKind.CLEARANCE, OrderKind.RESTRICTION]),
    prescriber=st.sampled_from(list(Prescriber)),
    prescriber_name=st.just("a physician"),
    given_on=recent,
    subjects=st.lists(st.sampled_from(list(OrderSubject)), max_size=2).map(tuple),
    sites=st.lists(sites, max_size=4).map(tuple),
    widest_mode=st.sampled_from([Mode.SELF_DIRECTED, Mode.NOT_TODAY]),
    from_date=st.none() | recent,
    lifted_on=st.one_of(st.none(), st.none(), recent),
)
names_every_site = orders.map(
    lambda one: msgspec.structs.replace(
        one,
        kind=OrderKind.CLEARANCE,
        subjects=(OrderSubject.LOAD,),
        sites=tuple(g.site(region) for region in Region),
        from_date=None,
        lifted_on=None,
    )
)
limbs = st.builds(SwollenLimb, limb=st.sampled_from(list(Limb)), side=sides)
arrivals = st.builds(
    lambda swelling, signs, pain: g.arrival(swelling=swelling, signs=signs, pain=pain),
    st.one_of(st.just(()), limbs.map(lambda one: (one,))),
    st.sampled_from([(), (), (), (), (RedFlag.CHEST_PAIN,)]),
    st.sampled_from([0, 1, 3, 4]),
)


@st.composite
def bodies(draw: st.DrawFn) -> PermissionFacts:
    """A client whose consent, law and people are open, with a body and orders of any kind."""
    histories = [
        HistoryContent(
            operations=draw(st.lists(operations, max_size=1).map(tuple)),
            radiations=draw(st.lists(radiations, max_size=1).map(tuple)),
            conditions=draw(st.lists(conditions, max_size=1).map(tuple)),
            neck=g.HISTORY.neck,
            clearance_need=draw(
                st.sampled_from([ClearanceNeed.NOT_NEEDED] * 4 + [ClearanceNeed.NEEDED])
            ),
            pathology_under_treatment=True,
        )
        for _ in range(draw(st.integers(1, 2)))
    ]
    return g.facts(
        reviewed=histories[0],
        reported=tuple(histories[1:]),
        orders=draw(st.lists(orders | names_every_site, max_size=3).map(tuple)),
        arrival=draw(arrivals | st.none()),
        watched_limbs=draw(st.lists(limbs, max_size=1).map(tuple)),
        growing_limbs=draw(st.lists(limbs, max_size=1).map(tuple)),
    )


def curls_closed(found: SessionPermissions) -> bool:
    curls = found.stretch_permission("curls", Technique.ACTIVE_ISOLATED, Side.BOTH)
    assert curls is not None
    return curls.mode is Mode.NOT_TODAY


def check_load(known: PermissionFacts, found: SessionPermissions) -> None:
    """Suggested loads, loading criteria and the split open nothing that permissions close."""
    load = {one.limb: one for one in found.load}
    alone = load_permissions(known, day_bars(known, g.settings()), g.settings())
    # Whom nobody works with and nowhere: what a suggested load is judged by.
    assert {one.limb for one in alone if one.open} <= {
        one.limb for one in load.values() if one.open
    }
    facts = tuple(LimbFacts(permission=one, motion=FREE) for one in found.load)
    criteria = {
        one.limb: one for one in (evaluate_loading_criteria(f, RESTED, HOUR) for f in facts)
    }
    for limb, permission in load.items():
        assert permission.open is (not permission.reasons)
        assert not criteria[limb].open or permission.open
        assert permission.open or set(permission.reasons) <= set(criteria[limb].reasons)
    split = suggest_split(
        SessionSplitFacts(
            booked_minutes=60,
            credential=Credential.PHYSICAL_THERAPIST,
            body=RESTED,
            limbs=facts,
            widest_mode=found.mode,
        ),
        HOUR,
    )
    minutes = {one.part: one.minutes for one in split.parts}
    if not any(one.open for one in load.values()) or found.mode is Mode.NOT_TODAY:
        assert minutes[SessionPart.STRENGTH] == 0
    if found.mode is Mode.NOT_TODAY:
        assert set(minutes.values()) == {0, 60}
    if not found.loading:
        assert not any(one.open for one in load.values())


def restricts_all_but_load(order: MedicalOrder) -> bool:
    """A physician who restricts something and does not speak of load: curls stand among the
    stretches and are closed with them, a load of the trunk is another subject of orders."""
    named = {*order.subjects}
    return order.kind is OrderKind.RESTRICTION and bool(named) and OrderSubject.LOAD not in named


def check_stretches(known: PermissionFacts, found: SessionPermissions) -> None:
    """No limb may be loaded where its stretches are closed; the plan is as narrow as the rest."""
    load = {one.limb: one.open for one in found.load}
    if curls_closed(found) and not any(map(restricts_all_but_load, known.client.orders)):
        assert not load[TRUNK]
    for one in found.stretch_permissions:
        limb = LIMB_OF_STRETCH.get((one.stretch, one.side))
        if limb is not None and one.mode is Mode.NOT_TODAY:
            closing = {reason.code for reason in one.reasons} & WHOLE_LIMB
            assert not (closing and load[limb]), closing
        row = Prescription(stretch=one.stretch, side=one.side, techniques=[one.technique])
        planned = planned_stretch(row, found)
        [technique] = [*planned.techniques, *planned.closed]
        assert technique.mode in (one.mode, Mode.NOT_TODAY)
        # Before the arrival questions the plan says what will stand if they bring nothing new.
        stands = one.planned if found.provisional else one.mode
        assert stands is not Mode.NOT_TODAY or not planned.techniques


def check_sites(known: PermissionFacts, found: SessionPermissions) -> None:
    """By the facts themselves: a metastasis with no clearance for load, a clot, a red flag."""
    load = {one.limb: one.open for one in found.load}
    cleared = any(
        order.kind is OrderKind.CLEARANCE and OrderSubject.LOAD in order.subjects
        for order in known.client.orders
    )
    histories = (known.client.reviewed, *known.client.reported)
    here = [c for h in histories if h for c in h.conditions if begun(c.since, known.day)]
    for condition in here:
        if condition.kind is ConditionKind.BONE_METASTASIS and not cleared:
            regions = {(site.region, site.side) for site in condition.sites}
            assert not (load[LoadedLimb.LEFT_ARM] and (Region.ARM, Side.LEFT) in regions)
            assert not (load[LoadedLimb.RIGHT_LEG] and (Region.LEG, Side.RIGHT) in regions)
            assert not (load[TRUNK] and {r for r, _ in regions} & {Region.LOWER_BACK})
            assert regions or not any(load.values())
        if condition.kind is ConditionKind.BONE_FRAGILITY:
            assert not load[TRUNK]
    if known.arrival is not None and known.arrival.signs:
        assert not any(load.values())


def begun(since: date | None, day: date) -> bool:
    return since is None or since <= day


# Each of these fires at least so often in the examples of an ordinary run.
MUST_FIRE = {
    "load.clearance_missing": 5,
    "load.restriction": 5,
    "load.weeks": 5,
    "load.incision": 5,
    "load.skin": 3,
    "load.abdomen_weeks": 5,
    "load.metastasis": 5,
    "load.fragile_trunk": 5,
    "load.swelling": 5,
    "load.swelling_measured": 5,
    "load.swelling_growing": 5,
    "load.swelling_suspected": 3,
    "load.pain": 5,
    "load.pain_not_asked": 5,
    "flap.curls_no_clearance": 3,
    "clot.no_clearance": 5,
    "red_flag.chest_pain": 5,
    "open": 20,
    "cleared": 1,
}


def test_what_permissions_close_is_open_nowhere_else() -> None:
    fired: Counter[str] = Counter()

    @settings(max_examples=600, deadline=None, derandomize=True)
    @given(bodies())
    def holds(known: PermissionFacts) -> None:
        found = evaluate(known, CATALOGUE, g.settings())
        check_load(known, found)
        check_stretches(known, found)
        check_sites(known, found)
        codes: Any = {reason.code for one in found.load for reason in one.reasons}
        codes |= {"open"} if any(one.open for one in found.load) else set()
        cautions = {reason.code for one in found.load for reason in one.cautions}
        codes |= {"cleared"} if "load.metastasis_cleared" in cautions else set()
        fired.update(codes)

    holds()
    rare = {code: fired[code] for code, least in MUST_FIRE.items() if fired[code] < least}
    assert not rare


def test_the_facts_of_the_property_start_open() -> None:
    found = evaluate(msgspec.structs.replace(g.OPEN), CATALOGUE, g.settings())
    assert found.mode is Mode.HANDS_ON
    assert all(one.open for one in found.load)
