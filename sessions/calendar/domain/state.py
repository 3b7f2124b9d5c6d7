"""The calendar slice: every session of one client and where it stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from types import MappingProxyType
from uuid import UUID

from clients.permissions.domain.results import narrower
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.reasons import Reason, not_found
from practice.core.terms import Credential, Mode
from sessions.calendar.domain.events import (
    PermissionsSnapshot,
    SessionArrived,
    SessionBooked,
    SessionCancelled,
    SessionCompleted,
    SessionFlagged,
    SessionMarkedNoShow,
    SessionMoved,
    SessionOpened,
    SessionPurpose,
    SessionStopped,
    SubmittedArrivalAnswers,
)


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
    at: datetime


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
    purpose: SessionPurpose
    requested_mode: Mode
    planned_mode: Mode
    permissions: PermissionsSnapshot
    exception_id: UUID | None = None
    late_entry: bool = False
    status: SessionStatus = SessionStatus.BOOKED
    flag: SessionFlag | None = None
    answers: SubmittedArrivalAnswers | None = None
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


def _booked(builder: CalendarBuilder, event: SessionBooked) -> None:
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


def _changed(session: SessionState, rec: RecordedEvent) -> SessionState:
    match rec.data:
        case SessionMoved() as moved:
            return replace(
                session,
                practitioner_id=moved.practitioner_id,
                credential=moved.credential,
                facility_id=moved.facility_id,
                room_id=moved.room_id,
                starts_at=moved.starts_at,
                ends_at=moved.ends_at,
                zone=moved.zone,
                local_date=moved.local_date,
                requested_mode=moved.requested_mode or session.requested_mode,
                planned_mode=moved.planned_mode,
                permissions=moved.permissions,
                exception_id=moved.exception_id,
                flag=None,
            )
        case SessionCancelled():
            return replace(session, status=SessionStatus.CANCELLED)
        case SessionMarkedNoShow():
            return replace(session, status=SessionStatus.NO_SHOW)
        case SessionArrived() as arrived:
            return replace(
                session,
                status=SessionStatus.ARRIVED,
                answers=arrived.answers,
                permissions=arrived.permissions,
                arrived_at=session.arrived_at or rec.occurred_at,
                answered_at=rec.occurred_at if session.answers is None else rec.recorded_at,
            )
        case SessionOpened() as opened:
            return replace(session, opened_at=rec.occurred_at, permissions=opened.permissions)
        case SessionFlagged() as flagged:
            flag = SessionFlag(flagged.now, flagged.reasons, flagged.cause)
            return replace(session, flag=flag)
        case SessionStopped() as stopped:
            stop = SessionStop(
                stopped.minute, stopped.everything, stopped.last_line_id, rec.occurred_at
            )
            return replace(session, stop=stop)
        case SessionCompleted() as completed:
            return replace(session, status=SessionStatus.COMPLETED, note_id=completed.note_id)
    return session


def _evolve(builder: CalendarBuilder, rec: RecordedEvent) -> None:
    if isinstance(rec.data, SessionBooked):
        _booked(builder, rec.data)
        return
    session = builder.get(getattr(rec.data, "session_id", rec.stream))
    if session is not None:
        builder[session.id] = _changed(session, rec)


def _freeze(builder: CalendarBuilder) -> CalendarState:
    return CalendarState(MappingProxyType(dict(builder)))


CALENDAR: Slice[CalendarBuilder, CalendarState] = Slice(
    name="calendar",
    folds=(
        SessionBooked,
        SessionMoved,
        SessionCancelled,
        SessionMarkedNoShow,
        SessionArrived,
        SessionOpened,
        SessionFlagged,
        SessionStopped,
        SessionCompleted,
    ),
    initial=dict,
    evolve=_evolve,
    freeze=_freeze,
)
