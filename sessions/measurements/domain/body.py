"""What measurements say of the body where it is loaded; it only narrows further. Pure."""

from __future__ import annotations

import msgspec

from practice.core.terms import Movement, Side
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.events import PostureSeverity
from sessions.measurements.domain.state import MeasurementsState


class ArmMotion(msgspec.Struct, frozen=True, kw_only=True):
    """One arm: the latest active, unassisted readings in degrees, and whether it hitches."""

    active_flexion: int | None = None
    active_abduction: int | None = None
    hitching: bool = False


def arm_motion(motion: MeasurementsState, side: Side) -> ArmMotion:
    """What was last measured of the arm of a side."""
    flexion = motion.latest_active(Movement.SHOULDER_FLEXION, side)
    abduction = motion.latest_active(Movement.SHOULDER_ABDUCTION, side)
    return ArmMotion(
        active_flexion=flexion.degrees if flexion else None,
        active_abduction=abduction.degrees if abduction else None,
        hitching=hitches(motion, side),
    )


def hitches(motion: MeasurementsState, side: Side) -> bool:
    """Whether the shoulder of a side was last found hitching when raised, at any severity."""
    return any(
        found.finding is PostureKind.HITCHING
        and found.side in (side, Side.BOTH)
        and found.severity is not PostureSeverity.NONE
        for found in motion.latest_findings().values()
    )


def marked_findings(motion: MeasurementsState) -> int:
    """How many posture findings are moderate or severe now."""
    marked = (PostureSeverity.MODERATE, PostureSeverity.SEVERE)
    return sum(found.severity in marked for found in motion.latest_findings().values())
