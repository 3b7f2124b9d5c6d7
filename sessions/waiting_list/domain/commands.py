"""What is asked of the waiting list."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time
from uuid import UUID

from practice.core.localtime import EnteredTime
from sessions.calendar.domain.terms import SessionPurpose


@dataclass(frozen=True, slots=True, kw_only=True)
class AddToWaitingList:
    """For what a client waits; ``earliest`` and ``latest`` on the facility's clock.

    ``kind_id``: the practice's kind, from which length and purpose follow where they are not
    given; without one the purpose is treatment."""

    minutes: int | None = None
    purpose: SessionPurpose | None = None
    kind_id: UUID | None = None
    facility_ids: tuple[UUID, ...] = ()
    weekdays: tuple[int, ...] = ()
    earliest: time | None = None
    latest: time | None = None
    first_day: date | None = None
    last_day: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeTimeRequest:
    """A time that is free: that of a session that was called off or moved away, a place in a class,
    or one named. ``overrule``: why it is to be although the place is closed or the practitioner
    absent then."""

    free_session_id: UUID | None = None
    class_id: UUID | None = None
    practitioner_id: UUID | None = None
    facility_id: UUID | None = None
    room_id: UUID | None = None
    starts_at: EnteredTime | None = None
    minutes: int | None = None
    overrule: str = ""
