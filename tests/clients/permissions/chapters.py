"""Facts near the edge of what is allowed: an open client, and one to three chapters of a story.

A chapter is an operation, a condition, a question of law or of the day, mostly with the
clearance that it asks for, or with one that nearly is: of another site, too early, a physician's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import msgspec
from hypothesis import strategies as st

from clients.clinical.domain.operations import operated_sites
from clients.health.domain.content import (
    BloodCount,
    BodySite,
    Condition,
    HistoryContent,
    Operation,
    Radiation,
    WordsReviewed,
)
from clients.health.domain.terms import (
    BloodCountKind,
    ClosedWork,
    ConditionKind,
    Limb,
    NeckHistory,
    OperationApproach,
    OperationKind,
    WordsEffect,
)
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from clients.permissions.domain.inputs import (
    PermissionFacts,
    PlaceBar,
    SupervisionFacts,
    SwollenLimb,
)
from practice.core.terms import (
    Activity,
    Allowance,
    Region,
    Side,
    SupervisionLevel,
    Technique,
)
from tests.clients.permissions import given as g
from tests.clients.permissions import strategies as s

replace = msgspec.structs.replace
Chapter = Callable[[PermissionFacts], PermissionFacts]

# Both sides of every number of days and weeks that a rule counts.
AGES = (0, 6, 7, 13, 14, 27, 28, 41, 42, 55, 56, 83, 84, 182, 183, 400)
BY_KIND = {
    ConditionKind.CLOT: OrderSubject.WORK_AFTER_CLOT,
    ConditionKind.ARM_CLOT: OrderSubject.WORK_AFTER_CLOT,
    ConditionKind.BONE_METASTASIS: OrderSubject.WORK_AT_BONE_SITE,
    ConditionKind.BRAIN_METASTASIS: OrderSubject.WORK_WITH_BRAIN_CONDITION,
    ConditionKind.SEIZURES: OrderSubject.WORK_WITH_BRAIN_CONDITION,
    ConditionKind.HEART_DISEASE: OrderSubject.LOAD,
    ConditionKind.HEART_DEVICE: OrderSubject.LOAD,
}
GUARDED = (OrderSubject.STRETCHING, OrderSubject.RESISTED_CHEST_WORK)
OF_A_FLAP = (
    OrderSubject.STRETCHING,
    OrderSubject.PELVIC_TILTS,
    OrderSubject.CURLS,
    OrderSubject.LOAD,
)
TRUNK = (g.site(Region.ABDOMEN), g.site(Region.LOWER_BACK))

past = st.sampled_from(AGES).map(lambda n: g.DAY - timedelta(days=n))
mostly_past = st.one_of(past, past, past, st.none())
mostly = st.sampled_from([True, True, True, True, False, None])
one_side = st.sampled_from([Side.LEFT, Side.RIGHT])


def operations(kinds: Iterable[OperationKind]) -> st.SearchStrategy[Operation]:
    """Operations that mostly went well."""
    return st.builds(
        Operation,
        id=s.ids,
        kind=st.sampled_from(list(kinds)),
        side=one_side,
        on=mostly_past,
        approach=st.none() | st.sampled_from(list(OperationApproach)),
        incision_healed=mostly,
        drains_out=mostly,
        donor_incision_healed=mostly,
        expander_in=st.sampled_from([False, False, True, None]),
        stands_erect=mostly,
    )


@st.composite
def clearances(
    draw: st.DrawFn,
    subjects: Iterable[OrderSubject],
    sites: Iterable[BodySite],
    since: date | None,
) -> tuple[MedicalOrder, ...]:
    """None, or a paper for these sites; sometimes for one of them only, or for others."""
    if draw(st.integers(0, 3)) == 0:
        return ()
    all_sites = tuple(sites)
    some = st.just(all_sites[:1]) | st.lists(s.sites, max_size=2).map(tuple)
    day = since or g.DAY
    order = MedicalOrder(
        id=draw(s.ids),
        kind=OrderKind.CLEARANCE,
        prescriber=draw(st.sampled_from([Prescriber.SURGEON] * 3 + [Prescriber.PHYSICIAN])),
        prescriber_name="a surgeon",
        given_on=draw(st.sampled_from([day + timedelta(days=n) for n in (-1, 0, 1, 1, 1)])),
        subjects=tuple(subjects),
        sites=draw(st.one_of(st.just(all_sites), st.just(all_sites), some)),
        techniques=draw(st.sampled_from([(), tuple(Technique), (Technique.PASSIVE,)])),
        from_date=draw(st.none() | past),
    )
    return (order,)


def _knowing(history: HistoryContent, *, reported: bool) -> Chapter:
    """More of a history: in the reviewed one, or reported by the desk."""

    def known(facts: PermissionFacts) -> PermissionFacts:
        client = facts.client
        if reported or client.reviewed is None:
            return replace(facts, client=replace(client, reported=(*client.reported, history)))
        old = client.reviewed
        more = replace(
            old,
            operations=(*old.operations, *history.operations),
            radiations=(*old.radiations, *history.radiations),
            conditions=(*old.conditions, *history.conditions),
            blood_counts=(*old.blood_counts, *history.blood_counts),
        )
        return replace(facts, client=replace(client, reviewed=more))

    return known


def _with_papers(knowing: Chapter, papers: tuple[MedicalOrder, ...]) -> Chapter:
    def known(facts: PermissionFacts) -> PermissionFacts:
        facts = knowing(facts)
        return replace(facts, client=replace(facts.client, orders=(*facts.client.orders, *papers)))

    return known


@st.composite
def operated(draw: st.DrawFn) -> Chapter:
    operation = draw(operations(OperationKind))
    sites = operated_sites(operation, g.settings().operation_regions)
    papers = draw(clearances(GUARDED, sites, operation.on))
    history = g.history(operations=(operation,))
    return _with_papers(_knowing(history, reported=draw(st.booleans())), papers)


@st.composite
def flap(draw: st.DrawFn) -> Chapter:
    operation = draw(operations([OperationKind.ABDOMINAL_FLAP]))
    subjects = draw(st.lists(st.sampled_from(OF_A_FLAP), min_size=1, max_size=4, unique=True))
    papers = draw(clearances(subjects, TRUNK, operation.on))
    history = g.history(operations=(operation,))
    return _with_papers(_knowing(history, reported=draw(st.booleans())), papers)


@st.composite
def diagnosed(draw: st.DrawFn, *kinds: ConditionKind) -> Chapter:
    kind = draw(st.sampled_from(kinds or list(ConditionKind)))
    condition = Condition(
        id=draw(s.ids),
        kind=kind,
        sites=draw(st.lists(s.sites, min_size=draw(st.integers(0, 1)), max_size=2).map(tuple)),
        since=draw(mostly_past),
        suspected=draw(st.booleans()),
        accessed_from=draw(st.none() | past),
        reviewed=draw(st.none() | words),
        text="in their own words",
    )
    papers: tuple[MedicalOrder, ...] = ()
    if kind in BY_KIND:
        papers = draw(clearances([BY_KIND[kind]], condition.sites, condition.since))
    history = g.history(conditions=(condition,))
    return _with_papers(_knowing(history, reported=draw(st.booleans())), papers)


words = st.one_of(
    st.builds(
        WordsReviewed,
        effect=st.sampled_from([WordsEffect.NO_EFFECT, WordsEffect.CAUTION]),
        reason=st.just("seen"),
    ),
    st.builds(
        WordsReviewed,
        effect=st.just(WordsEffect.CLOSES),
        reason=st.just("seen"),
        closes=st.lists(st.sampled_from(list(ClosedWork)), min_size=1, max_size=2).map(tuple),
    ),
)
radiations = st.builds(
    Radiation,
    id=s.ids,
    sites=st.lists(s.sites, min_size=1, max_size=2).map(tuple),
    from_date=past,
    until_date=mostly_past,
    skin_broken=st.sampled_from([False, False, True, None]),
    skin_seen_on=st.sampled_from([g.DAY, g.DAY, None]),
)
counts = st.builds(
    BloodCount,
    id=s.ids,
    kind=st.sampled_from(list(BloodCountKind)),
    value=st.sampled_from([7.9, 8, 19, 20, 29, 30, 49, 50, 499, 500, 999, 1000, 1499, 1500]),
    drawn_on=past,
)


@st.composite
def laid_down(draw: st.DrawFn) -> Chapter:
    """What the law of the place says instead of "allowed", and who supervises."""
    allowance = draw(st.sampled_from([Allowance.UNDER_SUPERVISION] * 3 + [Allowance.NOT_ALLOWED]))
    activity = draw(
        st.sampled_from([Activity.ASSISTED_STRETCHING] * 3 + [Activity.EXERCISE_INSTRUCTION])
    )
    level = draw(st.sampled_from(list(SupervisionLevel)))
    row = replace(g.ALLOWED, id=UUID(int=5), allowance=allowance, activity=activity)
    row = replace(row, supervision=level, pathology=draw(st.sampled_from([None, True, False])))
    who = draw(st.sampled_from([g.THERAPIST, OTHER, OTHER, OTHER]))
    supervision = SupervisionFacts(
        supervisor=replace(who, works_here=draw(mostly) is True),
        works_there_that_day=draw(st.booleans()),
        entitled=draw(mostly) is True,
    )
    named = draw(st.sampled_from([supervision, supervision, None]))
    return lambda facts: replace(facts, limits=(*facts.limits, row), supervision=named)


OTHER = replace(g.THERAPIST, practitioner_id=UUID(int=9))
MINOR = date(2012, 1, 1)


@st.composite
def people(draw: st.DrawFn) -> Chapter:
    """Who works there, what the facility has done by hand, how old the client is."""
    change: Chapter = draw(
        st.sampled_from(
            [
                lambda f: replace(f, practitioner=replace(f.practitioner, works_here=False)),
                lambda f: replace(f, facility=replace(f.facility, hands_on=False)),
                lambda f: replace(f, facility=replace(f.facility, techniques_supervised=g.ALL)),
                lambda f: replace(f, place_bars=(PlaceBar.FACILITY_CLOSED,)),
                lambda f: replace(f, client=replace(f.client, birth_date=MINOR)),
                lambda f: replace(f, client=replace(f.client, reviewed=None)),
            ]
        )
    )
    return change


@st.composite
def today(draw: st.DrawFn) -> Chapter:
    """Answers of the day, some of them missing."""
    limb = st.builds(SwollenLimb, limb=st.sampled_from(list(Limb)), side=s.sides)
    limbs = draw(st.lists(limb, max_size=1).map(tuple))
    changes: dict[str, Any] = draw(
        st.sampled_from(
            [
                {"hands_on_today": None},
                {"fever": None},
                {"pain": None},
                {"signs": None},
                {"swelling": None},
                {"swelling": limbs},
                {"temperature": 37.9},
                {"temperature": 38.0},
                {"words_unreviewed": True},
                *({"pain": pain} for pain in (3, 4, 6, 7)),
            ]
        )
    )
    watched = draw(st.sampled_from([(), limbs]))
    growing = draw(st.sampled_from([(), limbs]))

    def answered(facts: PermissionFacts) -> PermissionFacts:
        arrival = replace(facts.arrival, **changes) if facts.arrival else None
        return replace(facts, arrival=arrival, watched_limbs=watched, growing_limbs=growing)

    return answered


def irradiated(course: Radiation) -> Chapter:
    return _knowing(g.history(radiations=(course,)), reported=False)


def counted(count: BloodCount) -> Chapter:
    ill = Condition(id=UUID(int=71), kind=ConditionKind.CHEMOTHERAPY)
    return _knowing(g.history(conditions=(ill,), blood_counts=(count,)), reported=False)


@st.composite
def febrile(draw: st.DrawFn) -> Chapter:
    """Fever in chemotherapy: with a blood count, or with none."""
    ill = _knowing(
        g.history(conditions=(Condition(id=UUID(int=71), kind=ConditionKind.CHEMOTHERAPY),)),
        reported=False,
    )
    known = draw(st.sampled_from([ill, draw(counts.map(counted))]))

    def told(facts: PermissionFacts) -> PermissionFacts:
        facts = known(facts)
        return replace(facts, arrival=facts.arrival and replace(facts.arrival, fever=True))

    return told


def planned(day: date) -> Chapter:
    operation = replace(g.healed(OperationKind.MASTECTOMY, Side.LEFT, day), planned=True)
    return _knowing(g.history(operations=(operation,)), reported=False)


@st.composite
def narrowed(draw: st.DrawFn) -> Chapter:
    """One of the many small ones; drawn here, they count as one chapter among the others."""
    return draw(s.narrowings)


metastasis = diagnosed(ConditionKind.BONE_METASTASIS)
# Drawn by its place in this list: the same strategy several times over would count once.
KINDS_OF_CHAPTER: tuple[st.SearchStrategy[Chapter], ...] = (
    operated(),
    flap(),
    metastasis,
    *[diagnosed(kind) for kind in ConditionKind],
    radiations.map(irradiated),
    counts.map(counted),
    *[laid_down()] * 4,
    radiations.map(lambda course: irradiated(replace(course, skin_broken=True))),
    st.sampled_from(list(NeckHistory)).map(
        lambda neck: _knowing(g.history(neck=neck), reported=True)
    ),
    operations([OperationKind.HEAD_AND_NECK]).map(
        lambda one: _knowing(g.history(operations=(one,)), reported=False)
    ),
    s.orders.map(lambda one: s.restricted(replace(one, subjects=(OrderSubject.LOAD,)))),
    *[people()] * 4,
    *[today()] * 3,
    febrile(),
    past.map(planned),
    *[narrowed()] * 12,
)
chapters: st.SearchStrategy[Chapter] = st.sampled_from(KINDS_OF_CHAPTER).flatmap(lambda one: one)


@st.composite
def facts(draw: st.DrawFn, *first: st.SearchStrategy[Chapter]) -> PermissionFacts:
    """An open client with some chapters; ``first``: those that are in every example."""
    arrival = draw(st.sampled_from([g.CLEAR] * 7 + [None]))
    known = g.facts(arrival=arrival)
    told = [draw(chapter) for chapter in first]
    least, most = (0, 1) if first else (1, 2)
    for chapter in [*told, *draw(st.lists(chapters, min_size=least, max_size=most))]:
        known = chapter(known)
    return known
