"""What the waiting list leaves on the client's stream."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

import msgspec

from practice.core.events import Event, event, upcaster
from sessions.calendar.domain.terms import BookedKind, SessionPurpose


class WantedTimes(msgspec.Struct, frozen=True, kw_only=True):
    """What suits a client who waits for a time; what is not said suits always.

    ``weekdays`` are ISO (Monday 1), ``earliest`` and ``latest`` minutes after midnight on the
    facility's clock, within which the whole session lies. ``first_day`` and ``last_day`` are
    local days, both included. Whom the client wants is their preference. ``kind``: as what the
    practice would book it, where that was named.
    """

    minutes: int
    purpose: SessionPurpose = SessionPurpose.TREATMENT
    facility_ids: tuple[UUID, ...] = ()
    weekdays: tuple[int, ...] = ()
    earliest: int | None = None
    latest: int | None = None
    first_day: date | None = None
    last_day: date | None = None
    note: str = ""
    kind: BookedKind | None = None


@event("waiting_entry.added", version=2)
class WaitingAdded(Event, frozen=True, kw_only=True):
    """The client waits for a time that suits."""

    waiting_id: UUID
    wanted: WantedTimes


@event("waiting_entry.offered", version=2)
class WaitingOffered(Event, frozen=True, kw_only=True):
    """The client was offered a time; nothing holds it. An offer still open is replaced.

    ``class_id``: it is a place in that class. ``overruled``: why it is to be although the place is
    closed or the practitioner absent then."""

    waiting_id: UUID
    offer_id: UUID
    practitioner_id: UUID
    facility_id: UUID
    room_id: UUID | None = None
    starts_at: datetime
    ends_at: datetime
    zone: str
    class_id: UUID | None = None
    overruled: str = ""


@upcaster("waiting_entry.added", from_version=1)
@upcaster("waiting_entry.offered", from_version=1)
def _as_written(payload: dict[str, Any]) -> dict[str, Any]:
    """Version 1 knew no kinds of session, places in classes or closed times that were overruled."""
    return payload


@event("waiting_entry.accepted")
class WaitingAccepted(Event, frozen=True, kw_only=True):
    """The client took the time that was offered: it is booked, and they wait no more."""

    waiting_id: UUID
    offer_id: UUID
    session_id: UUID


@event("waiting_entry.declined")
class WaitingDeclined(Event, frozen=True, kw_only=True):
    """The client did not take the time that was offered, and waits on."""

    waiting_id: UUID
    offer_id: UUID
    reason: str = ""


@event("waiting_entry.withdrawn")
class WaitingWithdrawn(Event, frozen=True, kw_only=True):
    """The client waits no more, though no time was found; an open offer ends with it."""

    waiting_id: UUID
    reason: str
