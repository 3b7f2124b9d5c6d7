"""What a session is judged by that features above know: the client's programme and payers."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from uuid import UUID

from clients.permissions.domain.inputs import ProgrammeStretch
from practice.core.appspec import ExtensionPoint

PROGRAMME = ExtensionPoint[Callable[[UUID, datetime | None], tuple[ProgrammeStretch, ...]]](
    "stretches that a client is on"
)
"""``programme(client_id, known_at)``: as of now, or as known at an instant."""

PAYERS = ExtensionPoint[Callable[[UUID, date, datetime | None], tuple[UUID, ...]]](
    "payers of a client on a day"
)
"""``payers(client_id, day, known_at)``: as of now, or as known at an instant."""


def programme_of(client_id: UUID, known_at: datetime | None) -> tuple[ProgrammeStretch, ...]:
    """The stretches that a client is on."""
    return tuple(one for answer in PROGRAMME.answers for one in answer(client_id, known_at))


def payers_of(client_id: UUID, day: date, known_at: datetime | None) -> tuple[UUID, ...]:
    """Who pays for a client's session of a local day."""
    found = {one for answer in PAYERS.answers for one in answer(client_id, day, known_at)}
    return tuple(sorted(found))
