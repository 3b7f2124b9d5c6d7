"""Narrowings of any kind, for facts that start from a client with whom everything may be done.

A narrowing is a function from facts to facts that takes something away or adds a
restriction; it never adds knowledge that could open a gate. ``chapters`` builds the facts.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from uuid import UUID

import msgspec
from hypothesis import strategies as st

from clients.consent.domain.terms import ConsentStatus
from clients.health.domain.content import (
    BodySite,
    Condition,
    HistoryContent,
    Operation,
    Radiation,
    RangeLimit,
)
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
from clients.permissions.domain.inputs import (
    ArrivalAnswers,
    JurisdictionLimitFacts,
    PainFreeHeight,
    PermissionFacts,
    StopFacts,
    SwollenLimb,
)
from clients.preference.domain.state import ProviderPreference
from clients.preference.domain.terms import PreferenceScope
from practice.core.terms import (
    Activity,
    Allowance,
    Credential,
    Gender,
    Mode,
    Movement,
    Region,
    Side,
    Technique,
)
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
Narrowing = Callable[[PermissionFacts], PermissionFacts]

ids = st.integers(min_value=100, max_value=10**9).map(lambda number: UUID(int=number))
days = st.integers(min_value=-400, max_value=60).map(lambda n: g.DAY + timedelta(days=n))
maybe_days = st.none() | days
maybe = st.none() | st.booleans()
sides = st.sampled_from(list(Side))
sites = st.builds(BodySite, region=st.sampled_from(list(Region)), side=sides)
several_sites = st.lists(sites, max_size=3).map(tuple)
operations = st.builds(
    Operation,
    id=ids,
    kind=st.sampled_from(list(OperationKind)),
    side=sides,
    on=maybe_days,
    regions=st.lists(st.sampled_from(list(Region)), max_size=2).map(tuple),
    incision_healed=maybe,
    drains_out=maybe,
    donor_incision_healed=maybe,
    expander_in=maybe,
    stands_erect=maybe,
)
radiations = st.builds(
    Radiation, id=ids, sites=several_sites, from_date=maybe_days, skin_broken=maybe
)
conditions = st.builds(
    Condition,
    id=ids,
    kind=st.sampled_from(list(ConditionKind)),
    sites=several_sites,
    since=maybe_days,
    suspected=st.booleans(),
)
limits = st.builds(
    RangeLimit, movement=st.sampled_from(list(Movement)), degrees=st.integers(20, 180).map(float)
)
histories = st.builds(
    HistoryContent,
    operations=st.lists(operations, max_size=2).map(tuple),
    radiations=st.lists(radiations, max_size=1).map(tuple),
    conditions=st.lists(conditions, max_size=2).map(tuple),
    neck=st.sampled_from(list(NeckHistory)),
    clearance_need=st.sampled_from(list(ClearanceNeed)),
    pathology_under_treatment=maybe,
    usual_pain=st.none() | st.integers(0, 10),
)
orders = st.builds(
    MedicalOrder,
    id=ids,
    kind=st.sampled_from(list(OrderKind)),
    prescriber=st.sampled_from(list(Prescriber)),
    prescriber_name=st.just("a surgeon"),
    given_on=days,
    subjects=st.lists(st.sampled_from(list(OrderSubject)), max_size=3).map(tuple),
    sites=st.lists(sites, max_size=5).map(tuple),
    techniques=st.lists(st.sampled_from(list(Technique)), max_size=2).map(tuple),
    limits=st.lists(limits, max_size=1).map(tuple),
    widest_mode=st.sampled_from(list(Mode)),
    from_date=maybe_days,
    expires_on=maybe_days,
    lifted_on=maybe_days,
)
rows = st.builds(
    JurisdictionLimitFacts,
    id=ids,
    jurisdiction=st.sampled_from(["US-PA", "US-CA"]),
    credential=st.sampled_from(list(Credential)),
    activity=st.sampled_from(list(Activity)),
    allowance=st.sampled_from(list(Allowance)),
    source=st.just("a test's own law"),
    pathology=maybe,
    effective_from=maybe_days,
    effective_to=maybe_days,
)


def _client(**changes: object) -> Narrowing:
    return lambda facts: replace(facts, client=replace(facts.client, **changes))  # type: ignore[arg-type]


def _reviewed(change: Callable[[HistoryContent], HistoryContent]) -> Narrowing:
    def narrow(facts: PermissionFacts) -> PermissionFacts:
        reviewed = facts.client.reviewed
        if reviewed is None:
            return facts
        return replace(facts, client=replace(facts.client, reviewed=change(reviewed)))

    return narrow


def operated(operation: Operation) -> Narrowing:
    return _reviewed(lambda h: replace(h, operations=(*h.operations, operation)))


def irradiated(course: Radiation) -> Narrowing:
    return _reviewed(lambda h: replace(h, radiations=(*h.radiations, course)))


def diagnosed(condition: Condition) -> Narrowing:
    return _reviewed(lambda h: replace(h, conditions=(*h.conditions, condition)))


def clearance_needed(_: None) -> Narrowing:
    return _reviewed(lambda h: replace(h, clearance_need=ClearanceNeed.NEEDED))


def reported(history: HistoryContent) -> Narrowing:
    return lambda f: replace(f, client=replace(f.client, reported=(*f.client.reported, history)))


def restricted(order: MedicalOrder) -> Narrowing:
    order = replace(order, kind=OrderKind.RESTRICTION)
    return lambda f: replace(f, client=replace(f.client, orders=(*f.client.orders, order)))


def lifted(day: date) -> Narrowing:
    """Every clearance is lifted; restrictions stay."""

    def narrow(facts: PermissionFacts) -> PermissionFacts:
        kept = tuple(
            order
            if order.kind is OrderKind.RESTRICTION
            else replace(order, lifted_on=min(day, order.lifted_on or day))
            for order in facts.client.orders
        )
        return replace(facts, client=replace(facts.client, orders=kept))

    return narrow


def consent_status(status: ConsentStatus) -> Narrowing:
    return lambda f: _client(consent=replace(f.client.consent, status=status))(f)


def consent_without(region: Region) -> Narrowing:
    def narrow(facts: PermissionFacts) -> PermissionFacts:
        kept = tuple(s for s in facts.client.consent.sites if s.region is not region)
        return _client(consent=replace(facts.client.consent, sites=kept))(facts)

    return narrow


def consent_one_side(side: Side) -> Narrowing:
    def narrow(facts: PermissionFacts) -> PermissionFacts:
        kept = tuple(
            replace(s, side=side) if s.side is Side.BOTH else s for s in facts.client.consent.sites
        )
        return _client(consent=replace(facts.client.consent, sites=kept))(facts)

    return narrow


def consent_without_technique(technique: Technique) -> Narrowing:
    def narrow(facts: PermissionFacts) -> PermissionFacts:
        kept = tuple(t for t in facts.client.consent.techniques if t is not technique)
        return _client(consent=replace(facts.client.consent, techniques=kept))(facts)

    return narrow


def consent_until(day: date) -> Narrowing:
    def narrow(facts: PermissionFacts) -> PermissionFacts:
        until = min(day, facts.client.consent.until or day)
        return _client(consent=replace(facts.client.consent, until=until))(facts)

    return narrow


def consent_condition(name: str) -> Narrowing:
    return lambda f: _client(consent=replace(f.client.consent, **{name: True}))(f)


def preferring(preference: ProviderPreference) -> Narrowing:
    def narrow(facts: PermissionFacts) -> PermissionFacts:
        if facts.client.preference is not None:
            return facts
        return _client(preference=preference)(facts)

    return narrow


def barred_by_law(row: JurisdictionLimitFacts) -> Narrowing:
    row = replace(row, allowance=Allowance.NOT_ALLOWED)
    return lambda f: replace(f, limits=(*f.limits, row))


def unlicensed(_: None) -> Narrowing:
    return lambda f: replace(f, practitioner=replace(f.practitioner, licences=()))


def unsigned(technique: Technique) -> Narrowing:
    def narrow(facts: PermissionFacts) -> PermissionFacts:
        kept = tuple(c for c in facts.practitioner.competences if c.technique is not technique)
        return replace(facts, practitioner=replace(facts.practitioner, competences=kept))

    return narrow


def facility_bars(region: Region) -> Narrowing:
    return lambda f: replace(
        f, facility=replace(f.facility, regions_barred=(*f.facility.regions_barred, region))
    )


def stopped(stop: StopFacts) -> Narrowing:
    return lambda f: f if f.stop else replace(f, stop=stop)


def _arrival(change: Callable[[ArrivalAnswers], ArrivalAnswers]) -> Narrowing:
    return lambda f: replace(f, arrival=change(f.arrival)) if f.arrival else f


def no_hands_on(_: None) -> Narrowing:
    return _arrival(lambda a: replace(a, hands_on_today=False))


def pain(number: int) -> Narrowing:
    return _arrival(lambda a: replace(a, pain=max(number, a.pain or 0)))


def sign(flag: RedFlag) -> Narrowing:
    return _arrival(lambda a: replace(a, signs=(*(a.signs or ()), flag)))


def swollen(limb: SwollenLimb) -> Narrowing:
    return _arrival(lambda a: replace(a, swelling=(*(a.swelling or ()), limb)))


def pinching(side: Side) -> Narrowing:
    shoulder = PainFreeHeight(side=side, pinches=True)
    return _arrival(lambda a: replace(a, shoulders=(*a.shoulders, shoulder)))


def needle_in(_: None) -> Narrowing:
    return _arrival(lambda a: replace(a, needle_in_port=True))


def skin_broken(_: None) -> Narrowing:
    return _arrival(lambda a: replace(a, skin_broken=True))


preferences = st.builds(
    ProviderPreference,
    scope=st.sampled_from(list(PreferenceScope)),
    gender=st.none() | st.sampled_from(list(Gender)),
    practitioner_ids=st.lists(ids | st.just(g.PERSON), max_size=2).map(tuple),
)
narrowings: st.SearchStrategy[Narrowing] = st.one_of(
    operations.map(operated),
    radiations.map(irradiated),
    conditions.map(diagnosed),
    st.none().map(clearance_needed),
    histories.map(reported),
    orders.map(restricted),
    days.map(lifted),
    st.sampled_from([s for s in ConsentStatus if s is not ConsentStatus.GRANTED]).map(
        consent_status
    ),
    st.sampled_from(list(Region)).map(consent_without),
    sides.map(consent_one_side),
    st.sampled_from(list(Technique)).map(consent_without_technique),
    days.map(consent_until),
    st.sampled_from(["support_person", "interpreter"]).map(consent_condition),
    preferences.map(preferring),
    rows.map(barred_by_law),
    st.none().map(unlicensed),
    st.sampled_from(list(Technique)).map(unsigned),
    st.sampled_from(list(Region)).map(facility_bars),
    st.builds(StopFacts, minute=st.integers(0, 90), everything=st.booleans()).map(stopped),
    st.none().map(no_hands_on),
    st.integers(0, 10).map(pain),
    st.sampled_from(list(RedFlag)).map(sign),
    st.builds(SwollenLimb, limb=st.sampled_from(list(Limb)), side=sides).map(swollen),
    sides.map(pinching),
    st.none().map(needle_in),
    st.none().map(skin_broken),
)
