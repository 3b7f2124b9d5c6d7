"""Conditions: fragile bone, bone metastasis, clot, cording, drooping shoulder, broken skin."""

from __future__ import annotations

from collections.abc import Iterator

from clients.domain.health import Condition, Limit, Order, Site
from clients.domain.permissions import leave
from clients.domain.permissions.findings import (
    COMMON_PRACTICE,
    PRACTICE_POLICY,
    Finding,
    Target,
    clinical,
    covers,
    histories,
    overlap,
    sides_meet,
)
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.terms import ConditionKind, OrderSubject, StretchTag
from practice.domain.terms import Mode, Movement, Technique

FRAGILITY = "Giangregorio 2015 (exercise with osteoporosis: activity encouraged, spine spared)"
METASTASIS = "Campbell 2022, JCO Oncology Practice (not an automatic bar)"


def of_kind(facts: Facts, kind: ConditionKind) -> Iterator[Condition]:
    """The conditions of one kind that hold on that day."""
    for history in histories(facts.client):
        for condition in history.conditions:
            begun = condition.since is None or condition.since <= facts.day
            if condition.kind is kind and begun:
                yield condition


def clot(facts: Facts, settings: PermissionSettings) -> Iterator[Finding]:
    """Suspected or known: nothing until a physician's leave given after it."""
    for condition in of_kind(facts, ConditionKind.CLOT):
        papers = leave.leaves(facts, settings, OrderSubject.WORK_AFTER_CLOT, surgeon=False)
        if not any(_after(order, condition) for order in papers):
            text = "A clot, suspected or known: not today, until a physician's leave."
            yield Finding(
                Mode.NOT_TODAY, clinical("clot.no_leave", text, f"{COMMON_PRACTICE}, no source")
            )


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
        fragile_here = not condition.sites or overlap(condition.sites, target.worked)
        if target.technique is Technique.PASSIVE and fragile_here:
            text = "No passive end range over fragile bone."
            yield _bar("bone.passive", text, FRAGILITY)


def metastasis(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Bone metastasis: nothing at the site without leave; with it self-directed, pain-free."""
    for condition in of_kind(facts, ConditionKind.BONE_METASTASIS):
        here = overlap(condition.sites, target.worked) if condition.sites else list(target.worked)
        if not here:
            continue
        allowed: list[Site] = []
        for order in leave.leaves(facts, settings, OrderSubject.WORK_AT_BONE_SITE, surgeon=False):
            if _after(order, condition):
                allowed.extend(order.sites)
        if all(covers(allowed, site) for site in here):
            text = "Bone metastasis there, with leave: by herself and pain-free only."
            yield Finding(Mode.SELF_DIRECTED, clinical("metastasis.leave", text, METASTASIS))
        else:
            text = "Bone metastasis there and no leave for work at that site: nothing there today."
            yield _bar("metastasis.no_leave", text, METASTASIS)


def cording(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Cording: active isolated gently, never snapped on purpose."""
    source = f"{COMMON_PRACTICE}; mostly 2-8 weeks after surgery (Koehler 2018)"
    if not target.raises_arm:
        return
    for condition in of_kind(facts, ConditionKind.CORDING):
        sides = {site.side for site in condition.sites}
        if sides and not any(sides_meet(side, target.side) for side in sides):
            continue
        if target.assisted_only:
            text = "Cording on that side: active isolated only."
            yield _bar("cording.technique", text, source)
        else:
            text = "Cording on that side: gently; a cord is never snapped on purpose."
            yield Finding(Mode.HANDS_ON, clinical("cording.gently", text, source), caution=True)


def drooping_shoulder(
    facts: Facts, target: Target, settings: PermissionSettings
) -> Iterator[Finding]:
    """A drooping shoulder: the abduction pattern to the day's pain-free height."""
    if not target.tagged(StretchTag.ABDUCTION_PATTERN):
        return
    for condition in of_kind(facts, ConditionKind.DROOPING_SHOULDER):
        sides = {site.side for site in condition.sites}
        if sides and not any(sides_meet(side, target.side) for side in sides):
            continue
        heights = [
            shoulder.degrees
            for shoulder in (facts.arrival.shoulders if facts.arrival else ())
            if sides_meet(shoulder.side, target.side) and shoulder.degrees is not None
        ]
        source = f"{COMMON_PRACTICE}, no source"
        if heights:
            limit = Limit(movement=Movement.SHOULDER_ABDUCTION, degrees=min(heights))
            text = f"A drooping shoulder: to the pain-free height of {limit.degrees:g} degrees."
            reason = clinical("drooping_shoulder.height", text, source)
            yield Finding(Mode.HANDS_ON, reason, limits=(limit,))
        else:
            text = "A drooping shoulder and today's pain-free height is not known."
            reason = clinical("drooping_shoulder.unknown", text, source)
            yield Finding(Mode.SELF_DIRECTED, reason, pending=facts.arrival is None)


def broken_skin(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Skin broken by radiation: no contact on it and no pull across it."""
    for history in histories(facts.client):
        for course in history.radiations:
            if course.skin_broken is False:
                continue
            if course.from_date is not None and course.from_date > facts.day:
                continue
            touched = overlap(course.sites, target.contacts)
            pulled = overlap(course.sites, target.pulls)
            if course.skin_broken is None and (touched or pulled):
                text = "Whether irradiated skin there is whole is not recorded."
                reason = clinical("skin.unknown", text, PRACTICE_POLICY)
                yield Finding(Mode.SELF_DIRECTED, reason)
            elif pulled:
                text = "No pull across skin broken by radiation."
                yield _bar("skin.pull", text, f"{COMMON_PRACTICE}, no source")
            if course.skin_broken and touched:
                text = "No contact on skin broken by radiation."
                reason = clinical("skin.contact", text, f"{COMMON_PRACTICE}, no source")
                yield Finding(Mode.SELF_DIRECTED, reason)


def _after(order: Order, condition: Condition) -> bool:
    """Whether an order was given once the condition was known; without its date, nobody knows."""
    return condition.since is not None and order.given_on >= condition.since


def _bar(code: str, text: str, source: str) -> Finding:
    return Finding(Mode.NOT_TODAY, clinical(code, text, source))
