"""The practitioner's own split of a session."""

from __future__ import annotations

from uuid import UUID

import msgspec

from practice.domain.events import Event, event
from practice.domain.reasons import Reason
from practice.domain.terms import Part


class PlannedMinutes(msgspec.Struct, frozen=True, kw_only=True):
    """Whole minutes planned for one part."""

    part: Part
    minutes: int


@event("hour.split")
class HourSplit(Event, frozen=True, kw_only=True):
    """The practitioner's own split; it wins over the suggestion.

    ``crossed`` holds the gates that it crosses and ``reason`` why. ``suggested`` is
    what the practice's rules proposed, by ``settings_revision``.
    """

    session_id: UUID
    minutes: tuple[PlannedMinutes, ...]
    suggested: tuple[PlannedMinutes, ...]
    crossed: tuple[Reason, ...] = ()
    reason: str = ""
    settings_revision: int
