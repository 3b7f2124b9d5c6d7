"""What the waiting list leaves on the client's stream."""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID

import msgspec

from practice.core.events import Event, event
from sessions.calendar.domain.terms import SessionPurpose


class WantedTimes(msgspec.Struct, frozen=True, kw_only=True):
    """What suits a client who waits for a time; what is not said suits always.

    ``weekdays`` are ISO (Monday 1), ``earliest`` and ``latest`` minutes after midnight on the
    facility's clock, within which the whole session lies. ``first_day`` and ``last_day`` are
    local days, both included. Whom the client wants is their preference.
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


@event("waiting_entry.added")
class WaitingAdded(Event, frozen=True, kw_only=True):
    """The client waits for a time that suits."""

    waiting_id: UUID
    wanted: WantedTimes


@event("waiting_entry.offered")
class WaitingOffered(Event, frozen=True, kw_only=True):
    """The client was offered a time; nothing holds it. An offer still open is replaced."""

    waiting_id: UUID
    offer_id: UUID
    practitioner_id: UUID
    facility_id: UUID
    room_id: UUID | None = None
    starts_at: datetime
    ends_at: datetime
    zone: str


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
