"""How long a practitioner travels from one facility to another. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, TypeAlias
from uuid import UUID

LONGEST_TRAVEL: Final = 240
"""Minutes: no travel within a practice takes longer."""

TravelTimes: TypeAlias = Mapping[frozenset[UUID], int]
"""Minutes between two facilities, whichever way."""


def is_on_record(times: TravelTimes, one: UUID, other: UUID) -> bool:
    """Whether the practice says how long it takes; within one facility nothing is to be said."""
    return one == other or frozenset((one, other)) in times


def minutes_between(times: TravelTimes, one: UUID, other: UUID) -> int:
    """Minutes from one facility to another; 0 within one, and where nothing is on record."""
    return 0 if one == other else times.get(frozenset((one, other)), 0)
