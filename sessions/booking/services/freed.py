"""When a booked time comes free, the desk is told who waits for one like it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from practice.core.appspec import ExtensionPoint
from practice.core.decisions import Actor
from practice.core.reasons import Reason
from practice.core.terms import Mode
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.domain.free_time import FreeTime
from sessions.booking.services.corrections import session_enter_in_error
from sessions.booking.services.requests import MoveRequest
from sessions.booking.services.sessions import SessionCommandResult, session_cancel, session_move
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES, SessionState
from sessions.calendar.models import ExerciseClass, Session
from sessions.calendar.selectors.classes import class_row
from sessions.calendar.selectors.sessions import session_get


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

    @property
    def first(self) -> tuple[WaitingFit, ...]:
        """Those who are named at once."""
        return self.fits[: self.named]


WHO_WAITS = ExtensionPoint[Callable[[Actor, FreeTime, datetime], WaitingFits]](
    "who waits for a time that comes free"
)
"""``who(actor, free, now)``: the clients whom the actor may see and who may have it."""

Freed = tuple[SessionCommandResult, WaitingFits]
"""What became of the session, and who may have its time."""


def free_time_of(row: Session) -> FreeTime:
    """The time that a session has, or had before it was called off; for a place in a class that
    place, at the time of the class now."""
    if row.class_id is not None:
        return free_place_of(class_row(row.class_id))
    return _time_of(row, None)


def free_place_of(row: ExerciseClass) -> FreeTime:
    """A place in a class."""
    return _time_of(row, row.pk)


def whole_time_of(row: ExerciseClass) -> FreeTime:
    """The time that a class had, for whatever comes in its place."""
    return _time_of(row, None)


def free_time_of_state(session: SessionState) -> FreeTime:
    """The time that a session of its own has, as its stream has it."""
    place = (session.practitioner_id, session.facility_id, session.room_id)
    return FreeTime(*place, session.starts_at, session.booked_minutes)


def _time_of(row: Session | ExerciseClass, class_id: UUID | None) -> FreeTime:
    minutes = int((row.ends_at - row.starts_at).total_seconds()) // 60
    place = (row.practitioner_id, row.facility_id, row.room_id)
    return FreeTime(*place, row.starts_at, minutes, class_id)


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


def session_enter_in_error_prompting(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Freed:
    """Enter a session in error as ``session_enter_in_error`` does, and say who waits for the time
    that it held until now."""
    row = session_get(uow.actor, session_id)
    held = row.status in TIME_HOLDING_STATUSES
    done = session_enter_in_error(uow, session_id=session_id, command=command, if_match=if_match)
    return _prompting(uow, done, free_time_of(row)) if held else (done, WaitingFits())


def _prompting(uow: UnitOfWork, done: SessionCommandResult, free: FreeTime) -> Freed:
    found = who_waits_for(uow, free) if done.outcome.events else WaitingFits()
    return done, found


def who_waits_for(uow: UnitOfWork, free: FreeTime) -> WaitingFits:
    """Who may have a time that comes free, nobody once it has begun; that those who are named were
    read is logged (ruling 62)."""
    if free.starts_at <= uow.now:
        return WaitingFits()
    for who in WHO_WAITS.answers:
        found = who(uow.actor, free, uow.now)
        uow.tell_of(one.client_id for one in found.first)
        return found
    return WaitingFits()
