"""What of a client's record bears on load and on swelling: limbs, sides, weeks. Pure.

A reported history counts as much as a reviewed one where it narrows.
"""

from __future__ import annotations

from datetime import date

from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.limbs import (
    SIDE_OF,
    LoadedLimb,
    RegionsByOperation,
    known_histories,
    known_operations,
    limbs_touched,
    swollen_limbs,
    weeks_since,
)
from clients.health.domain.terms import ClearanceNeed
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject
from practice.core.terms import Movement
from sessions.measurements.domain.body import hitches
from sessions.measurements.domain.state import MeasurementsState
from sessions.session_split.domain.loading_criteria import BodyFacts, LimbFacts


def _in_force(order: MedicalOrder, day: date) -> bool:
    begun = (order.from_date or order.given_on) <= day
    over = order.expires_on is not None and order.expires_on < day
    return begun and not over and (order.lifted_on is None or day < order.lifted_on)


def _cleared(client: ClientFacts, day: date) -> bool:
    return any(
        order.kind is OrderKind.CLEARANCE and _in_force(order, day) for order in client.orders
    )


def _surgeon_clearance_for_load(client: ClientFacts, day: date) -> bool:
    return any(
        order.kind is OrderKind.LEAVE
        and OrderSubject.CURLS in order.subjects
        and _in_force(order, day)
        for order in client.orders
    )


def body_facts(client: ClientFacts, day: date, *, sedentary: bool | None) -> BodyFacts:
    """What bears on every limb. Nothing reviewed: clearance counts as missing."""
    asked = {history.clearance_need for history in known_histories(client)}
    not_needed = client.reviewed is not None and asked == {ClearanceNeed.NOT_NEEDED}
    dates = [one.on for one in known_operations(client)]
    return BodyFacts(
        clearance_missing=not (not_needed or _cleared(client, day)),
        sedentary=sedentary,
        weeks_since_operation=weeks_since(dates, day),
        operated=bool(dates) or client.reviewed is None,
    )


def limb_facts(
    client: ClientFacts,
    motion: MeasurementsState,
    day: date,
    *,
    regions: RegionsByOperation,
    pain: int | None,
) -> tuple[LimbFacts, ...]:
    """Every limb as the loading criteria ask for it. ``pain`` is the day's."""
    swollen = swollen_limbs(client)
    made: list[LimbFacts] = []
    for limb in LoadedLimb:
        there = [one for one in known_operations(client) if limb in limbs_touched(one, regions)]
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
                hitching=side is not None and hitches(motion, side),
                pain=pain,
                swelling=limb in swollen,
                surgeon_clearance=_surgeon_clearance_for_load(client, day),
            )
        )
    return tuple(made)
