"""Swelling of a limb: new today, known as lymphedema, or watched because its girths say refer."""

from __future__ import annotations

from collections.abc import Iterator

from clients.domain.conditions import of_kind
from clients.domain.health import Site
from clients.domain.permissions.findings import PRACTICE_POLICY, Finding, Target, clinical
from clients.domain.permissions.inputs import Facts, SwollenLimb
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.sites import overlap, sides_meet
from clients.domain.terms import ConditionKind, Limb, RedFlag
from practice.domain.terms import Mode, Region

ROUNDTABLE = "2019 roundtable: Campbell, Med Sci Sports Exerc 51:2375 (quoted)"
LIMB_REGIONS = {
    Limb.ARM: frozenset({Region.SHOULDER, Region.ARM}),
    Limb.LEG: frozenset({Region.HIP, Region.LEG}),
}
SLOWLY = "start low, progress slowly, supervised."


def works_limb(limb: SwollenLimb, target: Target) -> bool:
    """Whether a stretch touches, pulls or raises the limb."""
    regions = LIMB_REGIONS[limb.limb]
    raised = limb.limb is Limb.ARM and target.raises_arm and sides_meet(limb.side, target.side)
    return raised or any(
        site.region in regions and sides_meet(site.side, limb.side) for site in target.worked
    )


def lymphedema(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Known lymphedema: work of that limb goes on, with care; without a site, everywhere."""
    for condition in of_kind(facts.client, ConditionKind.LYMPHEDEMA, facts.day):
        if not condition.sites or any(_works(site, target) for site in condition.sites):
            text = f"Lymphedema there: {SLOWLY}"
            reason = clinical("lymphedema.limb", text, ROUNDTABLE)
            yield Finding(Mode.HANDS_ON, reason, caution=True)


def watched(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Girths that say refer: whom she is referred to, and care with that limb until then."""
    for limb in facts.watched_limbs:
        if works_limb(limb, target):
            whom = settings.refer_to.get(RedFlag.NEW_SWELLING, "Refer her.")
            text = (
                f"The girths of that limb say refer: {SLOWLY} {whom} Ask whom she was referred "
                "to and write it down."
            )
            reason = clinical("swelling.watched", text, f"{ROUNDTABLE}; {PRACTICE_POLICY}")
            yield Finding(Mode.HANDS_ON, reason, caution=True)


def _works(site: Site, target: Target) -> bool:
    """Whether a stretch works a site that swells, or the limb that it belongs to."""
    limbs = [limb for limb, regions in LIMB_REGIONS.items() if site.region in regions]
    return bool(overlap([site], target.worked)) or any(
        works_limb(SwollenLimb(limb=limb, side=site.side), target) for limb in limbs
    )
