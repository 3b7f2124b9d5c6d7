"""The refusal of a time that is taken, with the clashes on the facility's clock. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from practice.core.reasons import Rejected
from sessions.booking.domain.commands import (
    SchedulingConflict,
)

CHOOSE_ANOTHER = "Choose another time."


def time_taken_error(
    conflicts: Sequence[SchedulingConflict], zone: str, todo: str = CHOOSE_ANOTHER
) -> Rejected:
    """The refusal of a time that is taken, naming which of practitioner, room and client.

    Times are on the clock of ``zone``, the zone of the facility that was asked for. A session
    that the caller may see is named with its client.
    """
    here = ZoneInfo(zone)
    taken = sorted({conflict.taken.value for conflict in conflicts})
    who = " and ".join(f"the {kind}" for kind in taken)
    verb = "are" if len(taken) > 1 else "is"
    held = sorted(
        {(one.starts_at, one.ends_at, one.taken.value, *_named(one)) for one in conflicts}
    )
    return Rejected(
        "time_taken",
        f"That time is taken: {who} {verb} in another session then. {todo}",
        extra={
            "taken": taken,
            "conflicts": [
                {
                    "taken": kind,
                    **_on_clock(starts, ends, here),
                    "session_id": session_id or None,
                    "client_name": name,
                }
                for starts, ends, kind, session_id, name in held
            ],
        },
    )


def _named(conflict: SchedulingConflict) -> tuple[str, str]:
    """Which session it is and whose, to those who may see it; to others only the time."""
    if conflict.client_name is None:
        return "", ""
    return str(conflict.session_id), conflict.client_name


def _on_clock(starts: datetime, ends: datetime, here: ZoneInfo) -> dict[str, str]:
    return {
        "starts_at": starts.astimezone(here).isoformat(),
        "ends_at": ends.astimezone(here).isoformat(),
    }
