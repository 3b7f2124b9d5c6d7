"""Which limbs may be loaded, from the permissions of the day and what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.limbs import ARMS, SIDE_OF
from clients.clinical.domain.operations import known_operations, weeks_since
from clients.permissions.domain.results import LoadPermission
from sessions.measurements.domain.body import arm_motion
from sessions.measurements.domain.state import MeasurementsState
from sessions.session_split.domain.loading_criteria import BodyFacts, LimbFacts


def limb_facts(
    permissions: Sequence[LoadPermission], motion: MeasurementsState
) -> tuple[LimbFacts, ...]:
    """Every limb with its permission; an arm with what was measured of it."""
    return tuple(
        LimbFacts(
            permission=one,
            motion=arm_motion(motion, SIDE_OF[one.limb]) if one.limb in ARMS else None,
        )
        for one in permissions
    )


def body_facts(client: ClientFacts, day: date, *, sedentary: bool | None) -> BodyFacts:
    """What bears on every limb. Nothing reviewed counts as operated on an unknown day."""
    operations = known_operations(client, day)
    return BodyFacts(
        sedentary=sedentary,
        weeks_since_operation=weeks_since(operations, day),
        operated=bool(operations) or client.reviewed is None,
    )
