"""What of a client's record bears on load and on swelling: limbs, sides, weeks. Pure.

A reported history counts as much as a reviewed one where it narrows.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from enum import StrEnum

from clients.clinical.domain.facts import ClientFacts
from clients.health.domain.content import HistoryContent, Operation
from clients.health.domain.terms import ConditionKind, OperationKind
from practice.core.terms import Region, Side


class LoadedLimb(StrEnum):
    """What is loaded in strength work."""

    LEFT_ARM = "left_arm"
    RIGHT_ARM = "right_arm"
    LEFT_LEG = "left_leg"
    RIGHT_LEG = "right_leg"
    TRUNK = "trunk"


ARMS = frozenset({LoadedLimb.LEFT_ARM, LoadedLimb.RIGHT_ARM})


RegionsByOperation = Mapping[OperationKind, Sequence[Region]]

ARM_REGIONS = frozenset({Region.SHOULDER, Region.ARM, Region.CHEST, Region.UPPER_BACK})
TRUNK_REGIONS = frozenset({Region.ABDOMEN, Region.LOWER_BACK})
LEG_REGIONS = frozenset({Region.HIP, Region.LEG})
NODE_REMOVALS = frozenset({OperationKind.AXILLARY_DISSECTION, OperationKind.SENTINEL_BIOPSY})
LIMB_BY_ARM_AND_SIDE = {
    (True, Side.LEFT): LoadedLimb.LEFT_ARM,
    (True, Side.RIGHT): LoadedLimb.RIGHT_ARM,
    (False, Side.LEFT): LoadedLimb.LEFT_LEG,
    (False, Side.RIGHT): LoadedLimb.RIGHT_LEG,
}
SIDE_OF = {LoadedLimb.LEFT_ARM: Side.LEFT, LoadedLimb.RIGHT_ARM: Side.RIGHT}


def known_histories(client: ClientFacts) -> list[HistoryContent]:
    """The reviewed history and every report that no one has reviewed yet."""
    reviewed = [client.reviewed] if client.reviewed is not None else []
    return [*reviewed, *client.reported]


def known_operations(client: ClientFacts) -> list[Operation]:
    """Every operation that is known or reported, each once."""
    found = {one.id: one for history in known_histories(client) for one in history.operations}
    return list(found.values())


def _both(side: Side) -> tuple[Side, ...]:
    return (Side.LEFT, Side.RIGHT) if side is Side.BOTH else (side,)


def limbs_of(regions: Iterable[Region], side: Side) -> set[LoadedLimb]:
    """The limbs that work in some regions on a side touches."""
    found: set[LoadedLimb] = set()
    for region in regions:
        if region in TRUNK_REGIONS:
            found.add(LoadedLimb.TRUNK)
        elif region in ARM_REGIONS or region in LEG_REGIONS:
            found |= {LIMB_BY_ARM_AND_SIDE[region in ARM_REGIONS, one] for one in _both(side)}
    return found


def limbs_touched(operation: Operation, regions: RegionsByOperation) -> set[LoadedLimb]:
    """The limbs that an operation touches, by the practice's table of regions and its own."""
    return limbs_of((*regions.get(operation.kind, ()), *operation.regions), operation.side)


def weeks_since(dates: Sequence[date | None], day: date) -> int | None:
    """Whole weeks since the latest; None where any date is unknown or there is none."""
    known = [one for one in dates if one is not None]
    if len(known) != len(dates) or not known:
        return None
    return max((day - max(known)).days, 0) // 7


def affected_sides(client: ClientFacts, regions: RegionsByOperation) -> frozenset[Side]:
    """The sides on which an arm was operated on, irradiated or is swollen."""
    limbs: set[LoadedLimb] = set()
    for operation in known_operations(client):
        limbs |= limbs_touched(operation, regions)
    for history in known_histories(client):
        for course in history.radiations:
            for site in course.sites:
                limbs |= limbs_of((site.region,), site.side)
    limbs |= swollen_limbs(client)
    return frozenset(SIDE_OF[limb] for limb in limbs & ARMS)


def sides_at_risk(client: ClientFacts) -> frozenset[Side]:
    """The arms at risk of swelling: nodes out, or armpit, breast or chest irradiated there."""
    found: set[Side] = set()
    for operation in known_operations(client):
        if operation.kind in NODE_REMOVALS:
            found |= set(_both(operation.side))
    for history in known_histories(client):
        for course in history.radiations:
            for site in course.sites:
                if site.region in ARM_REGIONS:
                    found |= set(_both(site.side))
    return frozenset(found)


def swollen_limbs(client: ClientFacts) -> set[LoadedLimb]:
    """The limbs with recorded lymphedema."""
    found: set[LoadedLimb] = set()
    for history in known_histories(client):
        for condition in history.conditions:
            if condition.kind is ConditionKind.LYMPHEDEMA:
                for site in condition.sites:
                    found |= limbs_of((site.region,), site.side)
    return found
