"""Fragile bone and bone metastasis: the spine is spared, and what bends it counts as there."""

from __future__ import annotations

from collections.abc import Iterator

from clients.domain.health import Condition, Site
from clients.domain.permissions import leave
from clients.domain.permissions.conditions import after, of_kind
from clients.domain.permissions.findings import Finding, Target, clinical, covers, overlap
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.stretches import ContactKind, StretchTag
from clients.domain.terms import ConditionKind, OrderSubject
from practice.domain.terms import Mode, Movement, Region, Technique

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


def fragility(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Fragile bone spares the spine; active isolated stays."""
    for condition in of_kind(facts, ConditionKind.BONE_FRAGILITY):
        if target.tagged(StretchTag.CURL):
            yield _bar("bone.curls", "No curls with fragile bone.", FRAGILITY)
        if target.tagged(StretchTag.TRUNK_BEND, StretchTag.TRUNK_TWIST):
            text = "No loaded or end-range bending or twisting of the trunk with fragile bone."
            yield _bar("bone.trunk", text, FRAGILITY)
        if target.tagged(StretchTag.WEIGHT_OF_HAND):
            text = "Fragile bone: chin to chest without the weight of the hand, by herself."
            yield Finding(Mode.SELF_DIRECTED, clinical("bone.hand", text, FRAGILITY))
        if any(c.region in SPINE and c.kind in PRESSING for c in target.spec.contacts):
            text = "Fragile bone: nothing is pressed against the spine; she does it by herself."
            yield Finding(Mode.SELF_DIRECTED, clinical("bone.spine_contact", text, FRAGILITY))
        fragile_here = not condition.sites or overlap(condition.sites, target.worked)
        if target.technique in END_RANGE and fragile_here:
            code, text = END_RANGE[target.technique]
            yield _bar(code, text, FRAGILITY)


def metastasis(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Bone metastasis: nothing at the site without leave; with it self-directed, pain-free."""
    for condition in of_kind(facts, ConditionKind.BONE_METASTASIS):
        here = _there(condition, target)
        if not here:
            continue
        allowed: list[Site] = []
        for order in leave.leaves(facts, settings, OrderSubject.WORK_AT_BONE_SITE, surgeon=False):
            if after(order, condition):
                allowed.extend(order.sites)
        if all(covers(allowed, site) for site in here):
            text = "Bone metastasis there, with leave: by herself and pain-free only."
            yield Finding(Mode.SELF_DIRECTED, clinical("metastasis.leave", text, METASTASIS))
        elif condition.suspected:
            whom = settings.refer_for_condition.get(condition.kind, "Refer her.")
            text = f"A bone metastasis is suspected there: nothing there today. {whom}"
            yield _bar("metastasis.suspected", text, METASTASIS)
        else:
            text = "Bone metastasis there and no leave for work at that site: nothing there today."
            yield _bar("metastasis.no_leave", text, METASTASIS)


def _there(condition: Condition, target: Target) -> list[Site]:
    """Where a stretch works the site; what bends the trunk works a site in the spine."""
    if not condition.sites:
        return list(target.worked)
    here = overlap(condition.sites, target.worked)
    if _bends_spine(target):
        here += [site for site in condition.sites if site.region in SPINE]
    return here


def _bends_spine(target: Target) -> bool:
    """Whether it rolls, bends or twists the trunk or pulls on the lumbar spine."""
    tags = (StretchTag.CURL, StretchTag.TILT, StretchTag.TRUNK_BEND, StretchTag.TRUNK_TWIST)
    return (
        target.tagged(*tags)
        or not BENDS.isdisjoint(target.spec.movements)
        or any(site.region is Region.LOWER_BACK for site in target.pulls)
    )


def _bar(code: str, text: str, source: str) -> Finding:
    return Finding(Mode.NOT_TODAY, clinical(code, text, source))
