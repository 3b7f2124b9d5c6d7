"""Sessions of one practitioner or one client that share time. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from practice.core.reasons import Reason


@dataclass(frozen=True, slots=True)
class TakenTime:
    """When another session takes the practitioner's time or the client's."""

    starts_at: datetime
    ends_at: datetime
    of_client: bool


def overlap_warnings(
    starts_at: datetime, ends_at: datetime, zone: str, taken: Iterable[TakenTime]
) -> list[Reason]:
    """A warning for each other session that shares time; it names no other client."""
    here = ZoneInfo(zone)
    found: list[Reason] = []
    for one in sorted(taken, key=lambda other: (other.starts_at, other.ends_at, other.of_client)):
        if not (one.starts_at < ends_at and starts_at < one.ends_at):
            continue
        whose = "client" if one.of_client else "practitioner"
        begins, ends = one.starts_at.astimezone(here), one.ends_at.astimezone(here)
        text = (
            f"Another session of the {whose}, {begins:%H:%M} to {ends:%H:%M}, shares time with"
            " this one: a minute counts once."
        )
        found.append(Reason(code=f"overlaps_{whose}", text=text, source="practice policy"))
    return found
