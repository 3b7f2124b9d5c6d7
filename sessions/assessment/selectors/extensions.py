"""What a session is judged by that features above know: the client's programme and payers."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import TypeAlias
from uuid import UUID

from clients.permissions.domain.inputs import ProgrammeStretch
from practice.core.appspec import ExtensionPoint

PROGRAMME = ExtensionPoint[Callable[[UUID, datetime | None], tuple[ProgrammeStretch, ...]]](
    "stretches that a client is on"
)
"""``programme(client_id, known_at)``: as of now, or as known at an instant."""

PayersOfDay: TypeAlias = Callable[[date], tuple[UUID, ...]]
PAYERS = ExtensionPoint[Callable[[UUID, datetime | None], PayersOfDay]]("payers of a client")
"""``payers(client_id, known_at)``: as of now, or as known at an instant; whose a day is."""


def programme_of(client_id: UUID, known_at: datetime | None) -> tuple[ProgrammeStretch, ...]:
    """The stretches that a client is on."""
    return tuple(one for answer in PROGRAMME.answers for one in answer(client_id, known_at))


def payers_of(client_id: UUID, known_at: datetime | None) -> PayersOfDay:
    """Who pays for a client's session of a local day; read once, for any day."""
    found = [answer(client_id, known_at) for answer in PAYERS.answers]
    return lambda day: tuple(sorted({one for of_day in found for one in of_day(day)}))
