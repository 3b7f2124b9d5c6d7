"""Swelling of a limb: new today, known as lymphedema, or watched because its girths say refer."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.conditions import conditions_of_kind
from clients.health.domain.content import BodySite
from clients.health.domain.sites import overlapping_sites, sides_meet
from clients.health.domain.terms import ConditionKind, Limb, RedFlag
from clients.permissions.domain.findings import (
    PRACTICE_POLICY,
    PermissionFinding,
    StretchTarget,
    clinical_reason,
)
from clients.permissions.domain.inputs import PermissionFacts, SwollenLimb
from clients.permissions.domain.settings import PermissionSettings
from practice.core.terms import Mode, Region

ROUNDTABLE = "2019 roundtable: Campbell, Med Sci Sports Exerc 51:2375 (quoted)"
LIMB_REGIONS = {
    Limb.ARM: frozenset({Region.SHOULDER, Region.ARM}),
    Limb.LEG: frozenset({Region.HIP, Region.LEG}),
}
SLOWLY = "start low, progress slowly, supervised."


def works_limb(limb: SwollenLimb, target: StretchTarget) -> bool:
    """Whether a stretch touches, pulls or raises the limb."""
    regions = LIMB_REGIONS[limb.limb]
    raised = limb.limb is Limb.ARM and target.raises_arm and sides_meet(limb.side, target.side)
    return raised or any(
        site.region in regions and sides_meet(site.side, limb.side) for site in target.worked
    )


def lymphedema(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Known lymphedema: work of that limb goes on, with care; without a site, everywhere."""
    for condition in conditions_of_kind(facts.client, ConditionKind.LYMPHEDEMA, facts.day):
        if not condition.sites or any(_works(site, target) for site in condition.sites):
            text = f"Lymphedema there: {SLOWLY}"
            reason = clinical_reason("lymphedema.limb", text, ROUNDTABLE)
            yield PermissionFinding(Mode.HANDS_ON, reason, caution=True)


def watched_limb(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Circumferences that say refer: to whom, and care with that limb until then."""
    for limb in facts.watched_limbs:
        if works_limb(limb, target):
            whom = settings.refer_to.get(RedFlag.NEW_SWELLING, "Refer the client.")
            text = (
                f"The circumferences of that limb say refer: {SLOWLY} {whom} "
                "Ask whom the client was referred to and write it down."
            )
            reason = clinical_reason("swelling.watched", text, f"{ROUNDTABLE}; {PRACTICE_POLICY}")
            yield PermissionFinding(Mode.HANDS_ON, reason, caution=True)


def _works(site: BodySite, target: StretchTarget) -> bool:
    """Whether a stretch works a site that swells, or the limb that it belongs to."""
    limbs = [limb for limb, regions in LIMB_REGIONS.items() if site.region in regions]
    return bool(overlapping_sites([site], target.worked)) or any(
        works_limb(SwollenLimb(limb=limb, side=site.side), target) for limb in limbs
    )
