"""The limbs at risk of swelling, and the arms whose range is at stake. Pure.

A report that nobody has reviewed counts: it only adds care.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from clients.clinical.domain.conditions import conditions_of_kind, known_radiations
from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.limbs import (
    ARM_REGIONS,
    ARMS,
    SIDE_OF,
    LoadedLimb,
    limbs_of,
    limbs_touched,
)
from clients.clinical.domain.operations import RegionsByOperation, known_operations
from clients.health.domain.content import BodySite
from clients.health.domain.terms import ConditionKind, OperationKind
from practice.core.terms import Region, Side

NODES_OUT = frozenset({OperationKind.AXILLARY_DISSECTION, OperationKind.SENTINEL_BIOPSY})
LIMBS = frozenset(SIDE_OF)


def limbs_with_lymphedema(
    client: ClientFacts, day: date, *, suspected: bool = False
) -> frozenset[LoadedLimb]:
    """The arms and legs with lymphedema on record, or with one only suspected; without a site
    all of them."""
    found: set[LoadedLimb] = set()
    for condition in conditions_of_kind(client, ConditionKind.LYMPHEDEMA, day):
        if condition.suspected is not suspected:
            continue
        found |= limbs_of(condition.sites) if condition.sites else LIMBS
    return frozenset(found) & LIMBS


def _swollen(client: ClientFacts, day: date) -> frozenset[LoadedLimb]:
    known = limbs_with_lymphedema(client, day)
    return known | limbs_with_lymphedema(client, day, suspected=True)


def limbs_at_risk(client: ClientFacts, day: date) -> frozenset[LoadedLimb]:
    """Arms with nodes out by dissection or sentinel biopsy or irradiated at breast, axilla or
    thorax, and limbs with lymphedema. Common practice, no source.
    """
    sites = [
        BodySite(region=Region.ARM, side=operation.side)
        for operation in known_operations(client, day)
        if operation.kind in NODES_OUT
    ]
    sites += [
        site
        for course in known_radiations(client, day)
        for site in course.sites
        if site.region in ARM_REGIONS
    ]
    return limbs_of(sites) | _swollen(client, day)


def at_risk_of_swelling(client: ClientFacts, day: date) -> bool:
    """Whether any limb is at risk, or lymphedema is known anywhere."""
    known = conditions_of_kind(client, ConditionKind.LYMPHEDEMA, day)
    return bool(limbs_at_risk(client, day)) or any(True for _ in known)


def arms_at_risk(client: ClientFacts, day: date) -> frozenset[Side]:
    """The sides of the arms at risk of swelling."""
    return _sides_of_arms(limbs_at_risk(client, day))


def affected_arms(client: ClientFacts, day: date, regions: RegionsByOperation) -> frozenset[Side]:
    """The sides on which an arm was operated on, irradiated or is swollen."""
    limbs: set[LoadedLimb] = set()
    for operation in known_operations(client, day):
        limbs |= limbs_touched(operation, regions)
    for course in known_radiations(client, day):
        limbs |= limbs_of(course.sites)
    return _sides_of_arms(limbs | _swollen(client, day))


def _sides_of_arms(limbs: Iterable[LoadedLimb]) -> frozenset[Side]:
    return frozenset(SIDE_OF[limb] for limb in limbs if limb in ARMS)
