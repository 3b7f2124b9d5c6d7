"""Conditions: clot, cording, swelling, drooping shoulder, broken skin. Bones have their own."""

from __future__ import annotations

from collections.abc import Iterator

from clients.domain.conditions import after, of_kind
from clients.domain.health import Condition, Limit
from clients.domain.operations import histories
from clients.domain.orders_in_force import leaves
from clients.domain.permissions.findings import (
    ARM_RAISES,
    COMMON_PRACTICE,
    PRACTICE_POLICY,
    Finding,
    Target,
    clinical,
    on_day,
)
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.sites import overlap, sides_meet
from clients.domain.terms import ConditionKind, OrderSubject
from practice.domain.terms import Mode

LEAVE_FOR = {
    ConditionKind.CLOT: OrderSubject.WORK_AFTER_CLOT,
    ConditionKind.BONE_METASTASIS: OrderSubject.WORK_AT_BONE_SITE,
}


def suspicions(facts: Facts, settings: PermissionSettings, kind: ConditionKind) -> list[Condition]:
    """The conditions of a kind that are suspected and that no physician's leave answers."""
    subject = LEAVE_FOR.get(kind)
    papers = list(leaves(on_day(facts, settings), subject, surgeon=False)) if subject else []
    return [
        condition
        for condition in of_kind(facts.client, kind, facts.day)
        if condition.suspected and not any(after(order, condition) for order in papers)
    ]


def clot(facts: Facts, settings: PermissionSettings) -> Iterator[Finding]:
    """Suspected or known: nothing until a physician's leave given after it."""
    for condition in of_kind(facts.client, ConditionKind.CLOT, facts.day):
        papers = leaves(on_day(facts, settings), OrderSubject.WORK_AFTER_CLOT, surgeon=False)
        if not any(after(order, condition) for order in papers):
            text = "A clot, suspected or known: not today, until a physician's leave."
            yield Finding(
                Mode.NOT_TODAY, clinical("clot.no_leave", text, f"{COMMON_PRACTICE}, no source")
            )


def cording(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Cording: active isolated gently, never snapped on purpose."""
    source = f"{COMMON_PRACTICE}; mostly 2-8 weeks after surgery (Koehler 2018)"
    if not target.raises_arm:
        return
    for condition in of_kind(facts.client, ConditionKind.CORDING, facts.day):
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
    """A drooping shoulder: that arm goes up to the day's pain-free height and no further."""
    if not target.lifts_arm:
        return
    source = f"{COMMON_PRACTICE}, no source"
    for condition in of_kind(facts.client, ConditionKind.DROOPING_SHOULDER, facts.day):
        sides = {site.side for site in condition.sites}
        if sides and not any(sides_meet(side, target.side) for side in sides):
            continue
        heights = [
            shoulder.degrees
            for shoulder in (facts.arrival.shoulders if facts.arrival else ())
            if sides_meet(shoulder.side, target.side) and shoulder.degrees is not None
        ]
        if heights:
            height = min(heights)
            text = (
                f"Her shoulder droops: the arm goes up to today's pain-free height of {height:g} "
                "degrees and no further."
            )
            reason = clinical("drooping_shoulder.height", text, source)
            limits = tuple(Limit(movement=movement, degrees=height) for movement in ARM_RAISES)
            yield Finding(Mode.HANDS_ON, reason, limits=limits)
        else:
            text = (
                "Her shoulder droops and the height to which the arm is free of pain today is not "
                "known: she raises it by herself, as far as it is free of pain."
            )
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


def _bar(code: str, text: str, source: str) -> Finding:
    return Finding(Mode.NOT_TODAY, clinical(code, text, source))
