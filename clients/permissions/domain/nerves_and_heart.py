"""Brain metastasis, seizures, heart, numb feet and falls."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.conditions import conditions_of_kind, given_after, is_within
from clients.clinical.domain.limbs import ARMS, LoadedLimb, main_site
from clients.clinical.domain.orders_in_force import clearances_in_force
from clients.health.domain.content import BodySite, Condition, RangeLimit
from clients.health.domain.sites import covers, overlapping_sites, technique_text
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
from clients.permissions.domain.stretch import StretchTag
from practice.core.reasons import Reason
from practice.core.terms import Mode, Region, Side, Technique

BRAIN = (ConditionKind.BRAIN_METASTASIS, ConditionKind.SEIZURES)
HEART = (ConditionKind.HEART_DISEASE, ConditionKind.HEART_DEVICE)
FEET = (BodySite(region=Region.LEG, side=Side.BOTH),)
NEUROPATHY = "falls about 1.8 times as likely with neuropathy (PMC5549452, PMC4912425)"
BICYCLE = f"{NEUROPATHY}; bicycle before treadmill (PMC4470419)"


def brain(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[PermissionFinding]:
    """Brain metastasis or seizures: nothing until a physician's clearance given after it."""
    orders = list(
        clearances_in_force(
            on_day(facts, settings), OrderSubject.WORK_WITH_BRAIN_CONDITION, surgeon=False
        )
    )
    for condition in _of_kinds(facts, *BRAIN):
        if not any(given_after(order, condition) for order in orders):
            name = condition.kind.value.replace("_", " ").capitalize()
            text = f"{name}: not today, until a physician's clearance for work with it."
            reason = clinical_reason("brain.no_clearance", text, PRACTICE_POLICY)
            yield PermissionFinding(Mode.NOT_TODAY, reason)


def overhead(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Not long after a seizure nothing goes overhead."""
    if target.raises_arm and _recent_seizure(facts, settings):
        text = f"A seizure in the last {settings.seizure_days} days: nothing overhead."
        limits = tuple(
            RangeLimit(movement=movement, degrees=settings.arm_limit_degrees)
            for movement in ARM_RAISES
        )
        reason = clinical_reason("seizure.overhead", text, PRACTICE_POLICY)
        yield PermissionFinding(Mode.HANDS_ON, reason, limits=limits)


def heart(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """No breath is held against resistance; a device is neither touched nor pulled on."""
    if target.technique is Technique.CONTRACT_RELAX and any(_of_kinds(facts, *HEART)):
        text = "Heart: exhale while pushing, no breath is held; stop at any symptom."
        reason = clinical_reason("heart.breath", text, f"{COMMON_PRACTICE}, no source")
        yield PermissionFinding(Mode.HANDS_ON, reason, caution=True)
    for condition in _of_kinds(facts, ConditionKind.HEART_DEVICE):
        sites = condition.sites or (BodySite(region=Region.CHEST, side=Side.BOTH),)
        if overlapping_sites(sites, target.contacts):
            text = "No contact on the heart device."
            reason = clinical_reason("heart.device_contact", text, PRACTICE_POLICY)
            yield PermissionFinding(Mode.SELF_DIRECTED, reason)
        if target.assisted_only and overlapping_sites(sites, target.pulls):
            text = f"No {technique_text(target.technique)} stretching that pulls on a heart device."
            reason = clinical_reason("heart.device_pull", text, PRACTICE_POLICY)
            yield PermissionFinding(Mode.NOT_TODAY, reason)


def numb_feet(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """A numb limb does not tell the end of its range; who falls walks beside something firm."""
    for condition in _of_kinds(facts, ConditionKind.NUMB_FEET):
        if not overlapping_sites(condition.sites or FEET, target.worked):
            continue
        if target.assisted_only:
            text = f"Numb there: no {technique_text(target.technique)} stretching."
            reason = clinical_reason("numb.technique", text, PRACTICE_POLICY)
            yield PermissionFinding(Mode.NOT_TODAY, reason)
        else:
            text = "Numb there: watch the limb, the client does not feel the end of its range."
            reason = clinical_reason("numb.gently", text, PRACTICE_POLICY)
            yield PermissionFinding(Mode.HANDS_ON, reason, caution=True)
    if target.tagged(StretchTag.WALKING) and _unsteady(facts):
        text = "Numb feet or falls: beside something firm, with the practitioner at hand."
        reason = clinical_reason("falls.walking", text, NEUROPATHY)
        yield PermissionFinding(Mode.HANDS_ON, reason, caution=True)


def for_load(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """The heart waits for a clearance for load; numb feet, falls and seizures ask for care."""
    for condition in _of_kinds(facts, *HEART):
        if _load_is_cleared(facts, limb, settings, condition):
            text = "Heart, cleared for load: by perceived exertion, not by heart rate."
            yield _caution("load.heart_cleared", text, PRACTICE_POLICY)
        else:
            text = "Heart disease or device: no load without a clearance for load given since."
            reason = clinical_reason("load.heart", text, PRACTICE_POLICY)
            yield PermissionFinding(Mode.NOT_TODAY, reason)
    if limb not in ARMS and _unsteady(facts):
        text = "Numb feet or falls: load sitting or held, no free standing on one leg."
        yield _caution("load.unsteady", text, NEUROPATHY)
    if limb in ARMS and _recent_seizure(facts, settings):
        yield _caution("load.overhead", "After a seizure no load overhead.", PRACTICE_POLICY)


def warnings(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    """What the whole session heeds."""
    if _recent_seizure(facts, settings):
        text = (
            f"A seizure in the last {settings.seizure_days} days: the client is never alone, not "
            "on a treadmill, and nothing goes overhead."
        )
        yield clinical_reason("seizure.never_alone", text, PRACTICE_POLICY)
    if any(_of_kinds(facts, *HEART)):
        text = "Heart: short and by perceived exertion; stop at chest pain, dizziness, palpitation."
        yield clinical_reason("heart.exertion", text, PRACTICE_POLICY)
    if _unsteady(facts):
        text = "Numb feet or falls: something firm to hold; bicycle before treadmill."
        yield clinical_reason("falls.unsteady", text, BICYCLE)


def _of_kinds(facts: PermissionFacts, *kinds: ConditionKind) -> Iterator[Condition]:
    for kind in kinds:
        yield from conditions_of_kind(facts.client, kind, facts.day)


def _unsteady(facts: PermissionFacts) -> bool:
    return any(_of_kinds(facts, ConditionKind.NUMB_FEET, ConditionKind.FALLS))


def _recent_seizure(facts: PermissionFacts, settings: PermissionSettings) -> bool:
    return any(
        is_within(condition.since, facts.day, settings.seizure_days)
        for condition in _of_kinds(facts, ConditionKind.SEIZURES)
    )


def _load_is_cleared(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings, condition: Condition
) -> bool:
    orders = clearances_in_force(on_day(facts, settings), OrderSubject.LOAD, surgeon=False)
    since = [order for order in orders if given_after(order, condition)]
    named = [site for order in since for site in order.sites]
    return any(not order.sites for order in since) or covers(named, main_site(limb))


def _caution(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.HANDS_ON, clinical_reason(code, text, source), caution=True)
