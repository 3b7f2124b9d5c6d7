"""The calendar slice: every session of one client and where it stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from types import MappingProxyType
from typing import Any
from uuid import UUID

from clients.permissions.domain.results import narrower
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.reasons import Reason, not_found
from practice.core.terms import Credential, Mode
from sessions.calendar.domain import events


class SessionStatus(StrEnum):
    """Where a session stands; only booked and arrived ones hold a time."""

    BOOKED = "booked"
    ARRIVED = "arrived"
    COMPLETED = "completed"
    CANCELLED = "cancelled"
    NO_SHOW = "no_show"


TIME_HOLDING_STATUSES = (SessionStatus.BOOKED, SessionStatus.ARRIVED)


@dataclass(frozen=True, slots=True)
class SessionFlag:
    """A session that narrowed since it was planned, and why."""

    now: Mode
    reasons: tuple[Reason, ...]
    cause: str


@dataclass(frozen=True, slots=True)
class SessionStop:
    """Hands-on work ended in mid-session, at a minute counted from its start."""

    minute: int
    everything: bool
    last_line_id: UUID | None
    occurred_at: datetime


@dataclass(frozen=True, slots=True)
class SessionState:
    """One session. ``mode`` is what was last judged, never wider than ``planned_mode``."""

    id: UUID
    practitioner_id: UUID
    credential: Credential
    facility_id: UUID
    room_id: UUID | None
    starts_at: datetime
    ends_at: datetime
    zone: str
    local_date: date
    purpose: events.SessionPurpose
    requested_mode: Mode
    planned_mode: Mode
    permissions: events.PermissionsSnapshot
    exception_id: UUID | None = None
    late_entry: bool = False
    status: SessionStatus = SessionStatus.BOOKED
    flag: SessionFlag | None = None
    answers: events.SubmittedArrivalAnswers | None = None
    arrived_at: datetime | None = None
    answered_at: datetime | None = None
    opened_at: datetime | None = None
    stop: SessionStop | None = None
    note_id: UUID | None = None

    @property
    def length(self) -> timedelta:
        """How long it is booked for."""
        return self.ends_at - self.starts_at

    @property
    def booked_minutes(self) -> int:
        """How many whole minutes it is booked for."""
        return self.length // timedelta(minutes=1)

    @property
    def mode(self) -> Mode:
        """What it may be at most as last judged, by the flag and by the arrival answers."""
        mode = self.flag.now if self.flag else self.planned_mode
        return narrower(mode, self.permissions.mode) if self.answers else mode


@dataclass(frozen=True, slots=True)
class CalendarState:
    """Every session of a client, by id."""

    sessions: Mapping[UUID, SessionState]

    def session(self, session_id: UUID) -> SessionState:
        """One session; raises Rejected 404 where the client has none with that id."""
        found = self.sessions.get(session_id)
        if found is None:
            raise not_found("session")
        return found

    def upcoming(self, now: datetime) -> Iterator[SessionState]:
        """Booked sessions that have not ended, in order of their start."""
        for one in sorted(self.sessions.values(), key=lambda s: (s.starts_at, s.id)):
            if one.status is SessionStatus.BOOKED and one.ends_at > now:
                yield one


CalendarBuilder = dict[UUID, SessionState]


def _freeze(builder: CalendarBuilder) -> CalendarState:
    return CalendarState(MappingProxyType(dict(builder)))


CALENDAR: Slice[CalendarBuilder, CalendarState] = Slice(
    "calendar", initial=dict, freeze=_freeze, watches=(events,)
)


def _change(builder: CalendarBuilder, session_id: UUID, **changes: Any) -> None:
    if (session := builder.get(session_id)) is not None:
        builder[session_id] = replace(session, **changes)


@CALENDAR.on(events.SessionBooked)
def booked(builder: CalendarBuilder, event: events.SessionBooked, meta: RecordedEvent) -> None:
    builder[event.session_id] = SessionState(
        id=event.session_id,
        practitioner_id=event.practitioner_id,
        credential=event.credential,
        facility_id=event.facility_id,
        room_id=event.room_id,
        starts_at=event.starts_at,
        ends_at=event.ends_at,
        zone=event.zone,
        local_date=event.local_date,
        purpose=event.purpose,
        requested_mode=event.requested_mode,
        planned_mode=event.planned_mode,
        permissions=event.permissions,
        exception_id=event.exception_id,
        late_entry=event.late_entry,
    )


@CALENDAR.on(events.SessionMoved)
def moved(builder: CalendarBuilder, event: events.SessionMoved, meta: RecordedEvent) -> None:
    if (session := builder.get(event.session_id)) is not None:
        builder[session.id] = replace(
            session,
            practitioner_id=event.practitioner_id,
            credential=event.credential,
            facility_id=event.facility_id,
            room_id=event.room_id,
            starts_at=event.starts_at,
            ends_at=event.ends_at,
            zone=event.zone,
            local_date=event.local_date,
            requested_mode=event.requested_mode or session.requested_mode,
            planned_mode=event.planned_mode,
            permissions=event.permissions,
            exception_id=event.exception_id,
            flag=None,
        )


@CALENDAR.on(events.SessionCancelled)
def cancelled(
    builder: CalendarBuilder, event: events.SessionCancelled, meta: RecordedEvent
) -> None:
    _change(builder, event.session_id, status=SessionStatus.CANCELLED)


@CALENDAR.on(events.SessionMarkedNoShow)
def marked_no_show(
    builder: CalendarBuilder, event: events.SessionMarkedNoShow, meta: RecordedEvent
) -> None:
    _change(builder, event.session_id, status=SessionStatus.NO_SHOW)


@CALENDAR.on(events.SessionArrived)
def arrived(builder: CalendarBuilder, event: events.SessionArrived, meta: RecordedEvent) -> None:
    if (session := builder.get(event.session_id)) is not None:
        builder[session.id] = replace(
            session,
            status=SessionStatus.ARRIVED,
            answers=event.answers,
            permissions=event.permissions,
            arrived_at=session.arrived_at or meta.occurred_at,
            answered_at=meta.occurred_at if session.answers is None else meta.recorded_at,
        )


@CALENDAR.on(events.SessionOpened)
def opened(builder: CalendarBuilder, event: events.SessionOpened, meta: RecordedEvent) -> None:
    _change(builder, event.session_id, opened_at=meta.occurred_at, permissions=event.permissions)


@CALENDAR.on(events.SessionFlagged)
def flagged(builder: CalendarBuilder, event: events.SessionFlagged, meta: RecordedEvent) -> None:
    flag = SessionFlag(event.now, event.reasons, event.cause)
    _change(builder, event.session_id, flag=flag)


@CALENDAR.on(events.SessionStopped)
def stopped(builder: CalendarBuilder, event: events.SessionStopped, meta: RecordedEvent) -> None:
    stop = SessionStop(event.minute, event.everything, event.last_line_id, meta.occurred_at)
    _change(builder, event.session_id, stop=stop)


@CALENDAR.on(events.SessionCompleted)
def completed(
    builder: CalendarBuilder, event: events.SessionCompleted, meta: RecordedEvent
) -> None:
    _change(builder, event.session_id, status=SessionStatus.COMPLETED, note_id=event.note_id)
