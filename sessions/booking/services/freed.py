"""When a booked time comes free, the desk is told who waits for one like it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple
from uuid import UUID

from practice.core.appspec import ExtensionPoint
from practice.core.decisions import Actor
from practice.core.reasons import Reason
from practice.core.terms import Mode
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.requests import MoveRequest
from sessions.booking.services.sessions import SessionCommandResult, session_cancel, session_move
from sessions.calendar.models import Session
from sessions.calendar.selectors.sessions import session_get


class FreeTime(NamedTuple):
    """A time at a place with a practitioner that somebody may have."""

    practitioner_id: UUID
    facility_id: UUID
    room_id: UUID | None
    starts_at: datetime
    minutes: int


@dataclass(frozen=True, kw_only=True)
class WaitingFit:
    """A client who waits and may lawfully have the time, as what it would be planned."""

    waiting_id: UUID
    client_id: UUID
    client_name: str
    client_phone: str
    client_contact_by: str
    asked_at: datetime
    starts_at: datetime
    ends_at: datetime
    note: str
    offered: bool
    mode: Mode
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class WaitingFits:
    """Who may have a free time, longest waiting first; ``more``: not all were looked at.

    ``named`` of them are told at once when a session is called off.
    """

    fits: tuple[WaitingFit, ...] = ()
    more: bool = False
    named: int = 0


WHO_WAITS = ExtensionPoint[Callable[[Actor, FreeTime, datetime], WaitingFits]](
    "who waits for a time that comes free"
)
"""``who(actor, free, now)``: the clients whom the actor may see and who may have it."""

Freed = tuple[SessionCommandResult, WaitingFits, tuple[WaitingFit, ...]]
"""What became of the session, who may have its time, and those of them who are named."""


def free_time_of(row: Session) -> FreeTime:
    """The time that a session has, or had before it was called off."""
    minutes = int((row.ends_at - row.starts_at).total_seconds()) // 60
    return FreeTime(row.practitioner_id, row.facility_id, row.room_id, row.starts_at, minutes)


def session_cancel_prompting(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Freed:
    """Cancel a session as ``session_cancel`` does, and say who waits for its time."""
    done = session_cancel(uow, session_id=session_id, command=command, if_match=if_match)
    return _prompting(uow, done, free_time_of(session_get(uow.actor, session_id)))


def session_move_prompting(
    uow: UnitOfWork, *, session_id: UUID, command: MoveRequest, if_match: int | None = None
) -> Freed:
    """Move a session as ``session_move`` does, and say who waits for the time that it left."""
    before = free_time_of(session_get(uow.actor, session_id))
    done = session_move(uow, session_id=session_id, command=command, if_match=if_match)
    return _prompting(uow, done, before)


def _prompting(uow: UnitOfWork, done: SessionCommandResult, free: FreeTime) -> Freed:
    if not done.outcome.events or free.starts_at <= uow.now:
        return done, WaitingFits(), ()
    for who in WHO_WAITS.answers:
        found = who(uow.actor, free, uow.now)
        return done, found, found.fits[: found.named]
    return done, WaitingFits(), ()
