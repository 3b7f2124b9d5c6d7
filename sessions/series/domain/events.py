"""What a series leaves on the client's stream; its sessions have events of their own."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

import msgspec

from practice.core.events import Event, event, upcaster
from practice.core.reasons import Reason
from practice.core.terms import Mode
from sessions.calendar.domain.terms import BookedKind, CancelledBy, SessionPurpose


class RefusedOccurrence(msgspec.Struct, frozen=True, kw_only=True):
    """A time of a series that was not booked; ``code`` and ``reasons`` are those of booking."""

    starts_at: datetime
    code: str
    reasons: tuple[Reason, ...] = ()


@event("session_series.booked", version=2)
class SeriesBooked(Event, frozen=True, kw_only=True):
    """Sessions were booked by a rule of recurrence.

    ``rule`` is an RRULE of RFC 5545, ``starts_at`` its DTSTART, read on the clock of ``zone``,
    the facility's zone then. ``refused`` are its times that could not be booked. ``kind``: as
    what the practice booked them, where that was named; ``overruled``: why they were to be where
    the place was closed or the practitioner absent.
    """

    series_id: UUID
    practitioner_id: UUID
    facility_id: UUID
    room_id: UUID | None = None
    starts_at: datetime
    zone: str
    minutes: int
    rule: str
    purpose: SessionPurpose = SessionPurpose.TREATMENT
    requested_mode: Mode | None = None
    booked: int
    refused: tuple[RefusedOccurrence, ...] = ()
    kind: BookedKind | None = None
    overruled: str = ""


@upcaster("session_series.booked", from_version=1)
def _as_written(payload: dict[str, Any]) -> dict[str, Any]:
    """Version 1 knew no kinds of session and no closed times that were overruled."""
    return payload


@event("session_series.moved")
class SeriesMoved(Event, frozen=True, kw_only=True):
    """Sessions of a series were moved together, from a local day on; the others stayed."""

    series_id: UUID
    from_day: date
    moved: tuple[UUID, ...]
    refused: tuple[UUID, ...] = ()
    reason: str


@event("session_series.cancelled")
class SeriesCancelled(Event, frozen=True, kw_only=True):
    """The sessions of a series were called off together, from a local day on."""

    series_id: UUID
    from_day: date
    cancelled: tuple[UUID, ...]
    by: CancelledBy
    reason: str
