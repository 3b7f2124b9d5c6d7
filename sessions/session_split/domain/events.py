"""The practitioner's own split of a session."""

from __future__ import annotations

from uuid import UUID

import msgspec

from practice.core.events import Event, event
from practice.core.reasons import Reason
from practice.core.terms import SessionPart


class PlannedMinutes(msgspec.Struct, frozen=True, kw_only=True):
    """Whole minutes planned for one part."""

    part: SessionPart
    minutes: int


@event("session_split.set")
class SessionSplitSet(Event, frozen=True, kw_only=True):
    """The practitioner's own split; it wins over the suggestion.

    ``unmet_criteria`` holds the loading criteria it does not meet and ``reason`` why.
    ``suggested`` is what the practice's rules proposed, by ``settings_revision``.
    """

    session_id: UUID
    minutes: tuple[PlannedMinutes, ...]
    suggested: tuple[PlannedMinutes, ...]
    unmet_criteria: tuple[Reason, ...] = ()
    reason: str = ""
    settings_revision: int
