"""What conditions, measured swelling and the pain of the day say of the load of a limb."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from clients.clinical.domain.conditions import conditions_of_kind
from clients.clinical.domain.limbs import LoadedLimb, limbs_of, loads_bone_at, operations_on
from clients.clinical.domain.orders_in_force import names_site_for_load
from clients.clinical.domain.swelling_risk import limbs_with_lymphedema
from clients.health.domain.content import BodySite
from clients.health.domain.terms import ConditionKind, Limb
from clients.permissions.domain.bone import FRAGILITY, METASTASIS
from clients.permissions.domain.findings import (
    PRACTICE_POLICY,
    PermissionFinding,
    clinical_reason,
    on_day,
)
from clients.permissions.domain.inputs import PermissionFacts, SwollenLimb
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.swelling import ROUNDTABLE, SLOWLY
from practice.core.terms import Mode, Region


def metastasis(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Bone metastasis closes the load of its region unless a clearance for load names it.

    Only one that was given once it was known and names the site itself counts; without a
    site the metastasis may be anywhere.
    """
    known = on_day(facts, settings)
    for condition in conditions_of_kind(facts.client, ConditionKind.BONE_METASTASIS, facts.day):
        here = [site for site in condition.sites if loads_bone_at(limb, site)]
        if condition.sites and not here:
            continue
        since = condition.since
        if here and since is not None and names_site_for_load(known, here, since):
            text = "Bone metastasis there, cleared for load: pain-free, no impact."
            yield _caution("load.metastasis_cleared", text, METASTASIS)
        else:
            text = "Bone metastasis there: no load unless a clearance for load names the site."
            yield _bar("load.metastasis", text, METASTASIS)


def fragile_bone(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Fragile bone: the trunk is not loaded; the limbs stay open, without impact."""
    if not any(conditions_of_kind(facts.client, ConditionKind.BONE_FRAGILITY, facts.day)):
        return
    if limb is LoadedLimb.TRUNK:
        text = "Fragile bone: no loaded or end-range bending or twisting of the trunk."
        yield _bar("load.fragile_trunk", text, FRAGILITY)
    else:
        text = "Fragile bone: no impact, nothing to the end of the range."
        yield _caution("load.fragile", text, FRAGILITY)


def lymphedema(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Stable lymphedema leaves load open, with care; a suspected one is seen first."""
    if limb in limbs_with_lymphedema(facts.client, facts.day):
        text = f"Lymphedema: {SLOWLY} The circumferences are watched."
        yield _caution("load.lymphedema", text, ROUNDTABLE)
    if limb in limbs_with_lymphedema(facts.client, facts.day, suspected=True):
        text = "Lymphedema is suspected there: no load on that limb until it has been seen."
        yield _bar("load.swelling_suspected", text, PRACTICE_POLICY)


def swelling_measured(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Swelling that the circumferences show as new or growing is seen first."""
    known = limbs_with_lymphedema(facts.client, facts.day)
    if limb in swollen_limbs(facts.growing_limbs):
        text = "The circumferences grow: no load on that limb until it has been seen."
        yield _bar("load.swelling_growing", text, PRACTICE_POLICY)
    elif limb in swollen_limbs(facts.watched_limbs) and limb not in known:
        text = "The circumferences say refer: no load on that limb until it has been seen."
        yield _bar("load.swelling_measured", text, PRACTICE_POLICY)


def pain(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """The pain of the day; on an operated limb it is asked first."""
    felt = facts.arrival.pain if facts.arrival else None
    if felt is not None and felt > settings.load_pain:
        yield _bar("load.pain", f"Pain {felt}; load up to {settings.load_pain}.", PRACTICE_POLICY)
    elif felt is None and operations_on(on_day(facts, settings), limb):
        yield _bar("load.pain_not_asked", "Pain was not asked today.", PRACTICE_POLICY)


def swelling_today(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """New swelling: that limb carries nothing until it has been seen."""
    swollen = (facts.arrival.swelling if facts.arrival else None) or ()
    if limb in swollen_limbs(swollen):
        yield _bar("load.swelling", "New swelling: no load on that limb.", PRACTICE_POLICY)


def swollen_limbs(swollen: Iterable[SwollenLimb]) -> frozenset[LoadedLimb]:
    """The limbs that swell, as they are loaded."""
    regions = {Limb.ARM: Region.ARM, Limb.LEG: Region.LEG}
    return limbs_of(BodySite(region=regions[one.limb], side=one.side) for one in swollen)


def _caution(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.HANDS_ON, clinical_reason(code, text, source), caution=True)


def _bar(code: str, text: str, source: str) -> PermissionFinding:
    return PermissionFinding(Mode.NOT_TODAY, clinical_reason(code, text, source))
