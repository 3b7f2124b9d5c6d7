"""Fragile bone and bone metastasis: the spine is spared, and what bends it counts as there."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.conditions import conditions_of_kind, given_after
from clients.clinical.domain.orders_in_force import clearances_in_force
from clients.health.domain.content import BodySite, Condition
from clients.health.domain.sites import covers, overlapping_sites
from clients.health.domain.terms import ConditionKind
from clients.orders.domain.terms import OrderSubject
from clients.permissions.domain.findings import (
    PermissionFinding,
    StretchTarget,
    clinical_reason,
    on_day,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import ContactKind, StretchTag
from practice.core.terms import Mode, Movement, Region, Technique

FRAGILITY = "Giangregorio 2015 (exercise with osteoporosis: activity encouraged, spine spared)"
METASTASIS = "Campbell 2022, JCO Oncology Practice (not an automatic bar)"
SPINE = frozenset({Region.UPPER_BACK, Region.LOWER_BACK})
BENDS = frozenset(
    {Movement.TRUNK_FLEXION, Movement.TRUNK_EXTENSION, Movement.TRUNK_LATERAL_FLEXION}
)
PRESSING = frozenset({ContactKind.LEG, ContactKind.SUPPORTING})
END_RANGE = {
    Technique.PASSIVE: ("bone.passive", "No passive end range over fragile bone."),
    Technique.CONTRACT_RELAX: (
        "bone.contract_relax",
        "No contract-relax over fragile bone: it ends in an assisted hold at the end of the range.",
    ),
}


def fragility(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Fragile bone spares the spine; active isolated stays."""
    for condition in conditions_of_kind(facts.client, ConditionKind.BONE_FRAGILITY, facts.day):
        if target.tagged(StretchTag.CURL):
            yield _bar("bone.curls", "No curls with fragile bone.", FRAGILITY)
        if target.tagged(StretchTag.TRUNK_BEND, StretchTag.TRUNK_TWIST):
            text = "No loaded or end-range bending or twisting of the trunk with fragile bone."
            yield _bar("bone.trunk", text, FRAGILITY)
        if target.tagged(StretchTag.WEIGHT_OF_HAND):
            text = (
                "Fragile bone: chin to chest without the weight of the hand, by the client alone."
            )
            yield PermissionFinding(
                Mode.SELF_DIRECTED, clinical_reason("bone.hand", text, FRAGILITY)
            )
        if any(c.region in SPINE and c.kind in PRESSING for c in target.spec.contacts):
            text = "Fragile bone: nothing is pressed against the spine; the client does it alone."
            yield PermissionFinding(
                Mode.SELF_DIRECTED, clinical_reason("bone.spine_contact", text, FRAGILITY)
            )
        fragile_here = not condition.sites or overlapping_sites(condition.sites, target.worked)
        if target.technique in END_RANGE and fragile_here:
            code, text = END_RANGE[target.technique]
            yield _bar(code, text, FRAGILITY)


def metastasis(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Bone metastasis: nothing at the site without clearance; with it self-directed, pain-free."""
    for condition in conditions_of_kind(facts.client, ConditionKind.BONE_METASTASIS, facts.day):
        here = _there(condition, target)
        if not here:
            continue
        allowed: list[BodySite] = []
        # A clearance for the load of a site is one for work there too.
        for subject in (OrderSubject.WORK_AT_BONE_SITE, OrderSubject.LOAD):
            for order in clearances_in_force(on_day(facts, settings), subject, surgeon=False):
                if given_after(order, condition):
                    allowed.extend(order.sites)
        if all(covers(allowed, site) for site in here):
            text = "Bone metastasis there, with clearance: by the client alone and pain-free only."
            yield PermissionFinding(
                Mode.SELF_DIRECTED, clinical_reason("metastasis.cleared", text, METASTASIS)
            )
        elif condition.suspected:
            whom = settings.refer_for_condition.get(condition.kind, "Refer the client.")
            text = f"A bone metastasis is suspected there: nothing there today. {whom}"
            yield _bar("metastasis.suspected", text, METASTASIS)
        else:
            text = (
                "Bone metastasis there and no clearance for work at that site: nothing there today."
            )
            yield _bar("metastasis.no_clearance", text, METASTASIS)


def _there(condition: Condition, target: StretchTarget) -> list[BodySite]:
    """Where a stretch works the site; what bends the trunk works a site in the spine."""
    if not condition.sites:
        return list(target.worked)
    here = overlapping_sites(condition.sites, target.worked)
    if _bends_spine(target):
        here += [site for site in condition.sites if site.region in SPINE]
    return here


def _bends_spine(target: StretchTarget) -> bool:
    """Whether it rolls, bends or twists the trunk or pulls on the lumbar spine."""
    tags = (
        StretchTag.CURL,
        StretchTag.TILT,
        StretchTag.KNEE_ROLL,
        StretchTag.TRUNK_BEND,
        StretchTag.TRUNK_TWIST,
    )
    return (
        target.tagged(*tags)
        or not BENDS.isdisjoint(target.spec.movements)
        or any(site.region is Region.LOWER_BACK for site in target.pulls)
    )


def _bar(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.NOT_TODAY, clinical_reason(code, text, source))
