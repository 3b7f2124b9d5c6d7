"""Conditions: clot, cording, swelling, drooping shoulder, broken skin. Bones have their own."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.conditions import (
    conditions_of_kind,
    given_after,
    is_skin_watched,
    known_radiations,
    skin_broken_on,
)
from clients.clinical.domain.orders_in_force import clearances_in_force
from clients.health.domain.content import Condition, Radiation, RangeLimit
from clients.health.domain.sites import overlapping_sites, sides_meet, sites_text
from clients.health.domain.terms import ConditionKind
from clients.orders.domain.terms import OrderSubject
from clients.permissions.domain.findings import (
    ARM_RAISES,
    COMMON_PRACTICE,
    PRACTICE_POLICY,
    PermissionFinding,
    StretchTarget,
    clinical_reason,
    on_day,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Reason
from practice.core.terms import Mode

CLEARANCE_SUBJECTS = {
    ConditionKind.CLOT: OrderSubject.WORK_AFTER_CLOT,
    ConditionKind.ARM_CLOT: OrderSubject.WORK_AFTER_CLOT,
    ConditionKind.BONE_METASTASIS: OrderSubject.WORK_AT_BONE_SITE,
}
SKIN = f"{PRACTICE_POLICY}; reactions peak up to 14 days after the last session (Royal Marsden)"


def open_suspicions(
    facts: PermissionFacts, settings: PermissionSettings, kind: ConditionKind
) -> list[Condition]:
    """The conditions of a kind that are suspected and that no physician's clearance answers."""
    subject = CLEARANCE_SUBJECTS.get(kind)
    orders = (
        list(clearances_in_force(on_day(facts, settings), subject, surgeon=False))
        if subject
        else []
    )
    return [
        condition
        for condition in conditions_of_kind(facts.client, kind, facts.day)
        if condition.suspected and not any(given_after(order, condition) for order in orders)
    ]


def clot(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[PermissionFinding]:
    """Suspected or known: nothing until a physician's clearance given after it."""
    known = [
        condition
        for kind in (ConditionKind.CLOT, ConditionKind.ARM_CLOT)
        for condition in conditions_of_kind(facts.client, kind, facts.day)
    ]
    for condition in known:
        orders = clearances_in_force(
            on_day(facts, settings), OrderSubject.WORK_AFTER_CLOT, surgeon=False
        )
        if not any(given_after(order, condition) for order in orders):
            text = "A clot, suspected or known: not today, until a physician's clearance."
            yield PermissionFinding(
                Mode.NOT_TODAY,
                clinical_reason("clot.no_clearance", text, f"{COMMON_PRACTICE}, no source"),
            )


def cording(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Cording: active isolated gently, never snapped on purpose."""
    source = f"{COMMON_PRACTICE}; mostly 2-8 weeks after surgery (Koehler 2018)"
    if not target.raises_arm:
        return
    for condition in conditions_of_kind(facts.client, ConditionKind.CORDING, facts.day):
        sides = {site.side for site in condition.sites}
        if sides and not any(sides_meet(side, target.side) for side in sides):
            continue
        if target.assisted_only:
            text = "Cording on that side: active isolated only."
            yield _bar("cording.technique", text, source)
        else:
            text = "Cording on that side: gently; a cord is never snapped on purpose."
            yield PermissionFinding(
                Mode.HANDS_ON, clinical_reason("cording.gently", text, source), caution=True
            )


def drooping_shoulder(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """A drooping shoulder: that arm goes up to the day's pain-free height and no further."""
    if not target.lifts_arm:
        return
    source = f"{COMMON_PRACTICE}, no source"
    for condition in conditions_of_kind(facts.client, ConditionKind.DROOPING_SHOULDER, facts.day):
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
                f"The shoulder droops: the arm goes up to today's pain-free height of {height:g} "
                "degrees and no further."
            )
            reason = clinical_reason("drooping_shoulder.height", text, source)
            limits = tuple(RangeLimit(movement=movement, degrees=height) for movement in ARM_RAISES)
            yield PermissionFinding(Mode.HANDS_ON, reason, limits=limits)
        else:
            text = (
                "The shoulder droops and the height to which the arm is free of pain today is not "
                "known: the client raises it alone, as far as it is free of pain."
            )
            reason = clinical_reason("drooping_shoulder.unknown", text, source)
            yield PermissionFinding(Mode.SELF_DIRECTED, reason, pending=facts.arrival is None)


def broken_skin(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Skin broken by radiation: no contact on it and no pull across it."""
    for course in known_radiations(facts.client, facts.day):
        broken = skin_today(facts, course, settings)
        touched = overlapping_sites(course.sites, target.contacts)
        pulled = overlapping_sites(course.sites, target.pulls)
        if broken is None and (touched or pulled):
            watched = is_skin_watched(course, facts.day, settings.skin_watch_days)
            yield _unseen(watched=watched)
        if broken and pulled:
            text = "No pull across skin broken by radiation."
            yield _bar("skin.pull", text, f"{COMMON_PRACTICE}, no source")
        if broken and touched:
            text = "No contact on skin broken by radiation."
            reason = clinical_reason("skin.contact", text, f"{COMMON_PRACTICE}, no source")
            yield PermissionFinding(Mode.SELF_DIRECTED, reason)


def skin_today(
    facts: PermissionFacts, course: Radiation, settings: PermissionSettings
) -> bool | None:
    """Whether the skin of a course is broken, the look on arrival included; None: not known."""
    seen_today = facts.arrival.skin_broken if facts.arrival else None
    return skin_broken_on(course, facts.day, settings.skin_watch_days, seen_today)


def _unseen(*, watched: bool) -> PermissionFinding:
    """A look is missing: of any day, or of today while it is watched, which the day can bring."""
    if not watched:
        text = "Whether irradiated skin there is whole is not recorded."
        reason = clinical_reason("skin.unknown", text, PRACTICE_POLICY)
        return PermissionFinding(Mode.SELF_DIRECTED, reason)
    text = "Irradiated skin there is looked at in each session; today's look is not recorded."
    reason = clinical_reason("skin.not_seen_today", text, SKIN)
    return PermissionFinding(Mode.SELF_DIRECTED, reason, pending=True)


def skin_warnings(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    """Radiation in progress, or not long over: look at the skin first."""
    for course in known_radiations(facts.client, facts.day):
        if is_skin_watched(course, facts.day, settings.skin_watch_days):
            text = (
                f"Radiation in progress or not long over ({sites_text(course.sites)}): look at the "
                "skin before any contact; keep it short where radiation tires."
            )
            yield clinical_reason("skin.look", text, SKIN)


def _bar(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.NOT_TODAY, clinical_reason(code, text, source))
