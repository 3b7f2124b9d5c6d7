"""What of a client's record bears on load and on swelling: limbs, sides, weeks. Pure.

A reported history counts as much as a reviewed one where it narrows.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from clients.domain.health import HistoryContent, Operation, Order
from clients.domain.permissions.inputs import ClientFacts
from clients.domain.terms import Clearance, ConditionKind, OperationKind, OrderKind, OrderSubject
from practice.domain.terms import Movement, Region, Side
from sessions.domain.catalogue.terms import Posture
from sessions.domain.hour.gates import ARMS, BodyFacts, LimbFacts, LoadedLimb
from sessions.domain.motion.events import Severity
from sessions.domain.motion.state import MotionState

Regions = Mapping[OperationKind, Sequence[Region]]

ARM_REGIONS = frozenset({Region.SHOULDER, Region.ARM, Region.CHEST, Region.UPPER_BACK})
TRUNK_REGIONS = frozenset({Region.ABDOMEN, Region.LOWER_BACK})
LEG_REGIONS = frozenset({Region.HIP, Region.LEG})
NODES_OUT = frozenset({OperationKind.AXILLARY_DISSECTION, OperationKind.SENTINEL_BIOPSY})
LIMB = {
    (True, Side.LEFT): LoadedLimb.LEFT_ARM,
    (True, Side.RIGHT): LoadedLimb.RIGHT_ARM,
    (False, Side.LEFT): LoadedLimb.LEFT_LEG,
    (False, Side.RIGHT): LoadedLimb.RIGHT_LEG,
}
SIDE_OF = {LoadedLimb.LEFT_ARM: Side.LEFT, LoadedLimb.RIGHT_ARM: Side.RIGHT}


def histories(client: ClientFacts) -> list[HistoryContent]:
    """The reviewed history and every report that no one has reviewed yet."""
    reviewed = [client.reviewed] if client.reviewed is not None else []
    return [*reviewed, *client.reported]


def operations(client: ClientFacts) -> list[Operation]:
    """Every operation that is known or reported, each once."""
    found = {one.id: one for history in histories(client) for one in history.operations}
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
            found |= {LIMB[region in ARM_REGIONS, one] for one in _both(side)}
    return found


def touched(operation: Operation, regions: Regions) -> set[LoadedLimb]:
    """The limbs that an operation touches, by the practice's table of regions and its own."""
    return limbs_of((*regions.get(operation.kind, ()), *operation.regions), operation.side)


def weeks_since(dates: Sequence[date | None], day: date) -> int | None:
    """Whole weeks since the latest; None where any date is unknown or there is none."""
    known = [one for one in dates if one is not None]
    if len(known) != len(dates) or not known:
        return None
    return max((day - max(known)).days, 0) // 7


def affected_sides(client: ClientFacts, regions: Regions) -> frozenset[Side]:
    """The sides on which an arm was operated on, irradiated or is swollen."""
    limbs: set[LoadedLimb] = set()
    for operation in operations(client):
        limbs |= touched(operation, regions)
    for history in histories(client):
        for course in history.radiations:
            for site in course.sites:
                limbs |= limbs_of((site.region,), site.side)
    limbs |= swollen_limbs(client)
    return frozenset(SIDE_OF[limb] for limb in limbs & ARMS)


def sides_at_risk(client: ClientFacts) -> frozenset[Side]:
    """The arms at risk of swelling: nodes out, or armpit, breast or chest irradiated there."""
    found: set[Side] = set()
    for operation in operations(client):
        if operation.kind in NODES_OUT:
            found |= set(_both(operation.side))
    for history in histories(client):
        for course in history.radiations:
            for site in course.sites:
                if site.region in ARM_REGIONS:
                    found |= set(_both(site.side))
    return frozenset(found)


def swollen_limbs(client: ClientFacts) -> set[LoadedLimb]:
    """The limbs with recorded lymphedema."""
    found: set[LoadedLimb] = set()
    for history in histories(client):
        for condition in history.conditions:
            if condition.kind is ConditionKind.LYMPHEDEMA:
                for site in condition.sites:
                    found |= limbs_of((site.region,), site.side)
    return found


def _in_force(order: Order, day: date) -> bool:
    begun = (order.from_date or order.given_on) <= day
    over = order.expires_on is not None and order.expires_on < day
    return begun and not over and (order.lifted_on is None or day < order.lifted_on)


def _cleared(client: ClientFacts, day: date) -> bool:
    return any(
        order.kind is OrderKind.CLEARANCE and _in_force(order, day) for order in client.orders
    )


def _leave_for_load(client: ClientFacts, day: date) -> bool:
    return any(
        order.kind is OrderKind.LEAVE
        and OrderSubject.CURLS in order.subjects
        and _in_force(order, day)
        for order in client.orders
    )


def body_facts(client: ClientFacts, day: date, *, sedentary: bool | None) -> BodyFacts:
    """What bears on every limb. Nothing reviewed: clearance counts as missing."""
    asked = {history.clearance for history in histories(client)}
    not_needed = client.reviewed is not None and asked == {Clearance.NOT_NEEDED}
    dates = [one.on for one in operations(client)]
    return BodyFacts(
        clearance_missing=not (not_needed or _cleared(client, day)),
        sedentary=sedentary,
        weeks_since_operation=weeks_since(dates, day),
        operated=bool(dates) or client.reviewed is None,
    )


def _hitches(motion: MotionState, side: Side) -> bool:
    return any(
        found.finding is Posture.HITCHING
        and found.side in (side, Side.BOTH)
        and found.severity is not Severity.NONE
        for found in motion.latest_findings().values()
    )


def limb_facts(
    client: ClientFacts,
    motion: MotionState,
    day: date,
    *,
    regions: Regions,
    pain: int | None,
) -> tuple[LimbFacts, ...]:
    """Every limb as the gates ask for it. ``pain`` is the day's."""
    swollen = swollen_limbs(client)
    made: list[LimbFacts] = []
    for limb in LoadedLimb:
        there = [one for one in operations(client) if limb in touched(one, regions)]
        side = SIDE_OF.get(limb)
        flexion = motion.latest_active(Movement.SHOULDER_FLEXION, side) if side else None
        abduction = motion.latest_active(Movement.SHOULDER_ABDUCTION, side) if side else None
        made.append(
            LimbFacts(
                limb=limb,
                affected=bool(there) or limb in swollen,
                operated=bool(there),
                weeks=weeks_since([one.on for one in there], day) if there else None,
                active_flexion=flexion.degrees if flexion else None,
                active_abduction=abduction.degrees if abduction else None,
                hitching=side is not None and _hitches(motion, side),
                pain=pain,
                swelling=limb in swollen,
                leave=_leave_for_load(client, day),
            )
        )
    return tuple(made)


def marked_findings(motion: MotionState) -> int:
    """How many posture findings are moderate or severe now."""
    marked = (Severity.MODERATE, Severity.SEVERE)
    return sum(found.severity in marked for found in motion.latest_findings().values())
