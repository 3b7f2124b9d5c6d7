"""The limbs and the trunk as they are loaded: which regions belong to each. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from clients.clinical.domain.operations import RegionsByOperation, known_operations, operated_sites
from clients.clinical.domain.orders_in_force import ClientOnDay
from clients.health.domain.content import BodySite, Operation
from practice.core.terms import Region, Side


class LoadedLimb(StrEnum):
    """What is loaded in strength work."""

    LEFT_ARM = "left_arm"
    RIGHT_ARM = "right_arm"
    LEFT_LEG = "left_leg"
    RIGHT_LEG = "right_leg"
    TRUNK = "trunk"


ARMS = frozenset({LoadedLimb.LEFT_ARM, LoadedLimb.RIGHT_ARM})
ARM_REGIONS = frozenset({Region.SHOULDER, Region.ARM, Region.CHEST, Region.UPPER_BACK})
LEG_REGIONS = frozenset({Region.HIP, Region.LEG})
TRUNK_REGIONS = frozenset({Region.ABDOMEN, Region.LOWER_BACK})
SIDE_OF = {
    LoadedLimb.LEFT_ARM: Side.LEFT,
    LoadedLimb.RIGHT_ARM: Side.RIGHT,
    LoadedLimb.LEFT_LEG: Side.LEFT,
    LoadedLimb.RIGHT_LEG: Side.RIGHT,
}
MAIN_REGION = {
    LoadedLimb.LEFT_ARM: Region.ARM,
    LoadedLimb.RIGHT_ARM: Region.ARM,
    LoadedLimb.LEFT_LEG: Region.LEG,
    LoadedLimb.RIGHT_LEG: Region.LEG,
    LoadedLimb.TRUNK: Region.ABDOMEN,
}


# Through which bones the load of a limb goes: those of its own regions, for the arms the neck
# as well, for the legs the spine, for the trunk spine, ribs and pelvis. Practice policy, no source.
ARM_BONES = ARM_REGIONS | {Region.HEAD_AND_NECK}
SPINE_BONES = TRUNK_REGIONS | {Region.UPPER_BACK}
TRUNK_BONES = TRUNK_REGIONS | {Region.UPPER_BACK, Region.CHEST, Region.HIP, Region.HEAD_AND_NECK}


def loads_bone_at(limb: LoadedLimb, site: BodySite) -> bool:
    """Whether the load of a limb goes through the bones of a site."""
    if limb is LoadedLimb.TRUNK:
        return site.region in TRUNK_BONES
    if limb not in ARMS and site.region in SPINE_BONES:
        return True
    regions = ARM_BONES if limb in ARMS else LEG_REGIONS
    return site.region in regions and site.side in (SIDE_OF[limb], Side.BOTH)


def main_site(limb: LoadedLimb) -> BodySite:
    """The site that a clearance must name where it names sites and is to cover the limb."""
    return BodySite(region=MAIN_REGION[limb], side=SIDE_OF.get(limb, Side.BOTH))


def limbs_of(sites: Iterable[BodySite]) -> frozenset[LoadedLimb]:
    """The limbs that work at some sites touches; a site on both sides touches both."""
    return frozenset(limb for site in sites for limb in LoadedLimb if _touches(site, limb))


def _touches(site: BodySite, limb: LoadedLimb) -> bool:
    if limb is LoadedLimb.TRUNK:
        return site.region in TRUNK_REGIONS
    regions = ARM_REGIONS if limb in ARMS else LEG_REGIONS
    return site.region in regions and site.side in (SIDE_OF[limb], Side.BOTH)


def limbs_touched(operation: Operation, regions: RegionsByOperation) -> frozenset[LoadedLimb]:
    """The limbs that an operation touches."""
    return limbs_of(operated_sites(operation, regions))


def operations_on(known: ClientOnDay, limb: LoadedLimb) -> list[Operation]:
    """The operations known that day that touch a limb."""
    return [
        operation
        for operation in known_operations(known.client, known.day)
        if limb in limbs_touched(operation, known.regions)
    ]
