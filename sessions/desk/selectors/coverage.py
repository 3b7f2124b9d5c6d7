"""What the payers' authorizations of a client have left, which billing knows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from practice.core.appspec import ExtensionPoint


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverageLeft:
    """One authorization: what is left, None where nothing limits it, and the days of it on
    which sessions are booked."""

    authorization_id: UUID
    number: str
    payer_name: str
    starts_on: date
    last_day: date
    visits_left: int | None
    units_left: int | None
    minutes_left: int | None
    days_booked: int


COVERAGE_LEFT = ExtensionPoint[Callable[[UUID, date], Sequence[CoverageLeft]]](
    "what a client's authorizations have left"
)
"""``left(client_id, day)``: those that are open on a day or begin later, the first to end first."""


def coverage_left(client_id: UUID, day: date) -> list[CoverageLeft]:
    """What is left of a client's authorizations."""
    return [one for answer in COVERAGE_LEFT.answers for one in answer(client_id, day)]
