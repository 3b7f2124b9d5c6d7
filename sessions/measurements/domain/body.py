"""What of a client's record bears on load and on swelling: limbs, sides, weeks. Pure.

A reported history counts as much as a reviewed one where it narrows.
"""

from __future__ import annotations

from practice.core.terms import Side
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.events import PostureSeverity
from sessions.measurements.domain.state import MeasurementsState


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
