"""The calendar slice: every session of one client and where it stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from types import MappingProxyType
from uuid import UUID

from practice.domain.decisions import Slice
from practice.domain.events import Recorded
from practice.domain.reasons import Reason, not_found
from practice.domain.terms import Credential, Mode
from sessions.domain.calendar.events import (
    Answers,
    Judgement,
    Purpose,
    SessionAbsent,
    SessionArrived,
    SessionBooked,
    SessionCancelled,
    SessionCompleted,
    SessionFlagged,
    SessionMoved,
    SessionOpened,
    SessionStopped,
)
from sessions.domain.calendar.modes import narrower


class Status(StrEnum):
    """Where a session stands; only booked and arrived ones hold a time."""

    BOOKED = "booked"
    ARRIVED = "arrived"
    COMPLETED = "completed"
    CANCELLED = "cancelled"
    ABSENT = "absent"


HOLDS_TIME = (Status.BOOKED, Status.ARRIVED)


@dataclass(frozen=True, slots=True)
class Flag:
    """A session that narrowed since it was planned, and why."""

    now: Mode
    reasons: tuple[Reason, ...]
    because: str


@dataclass(frozen=True, slots=True)
class Stop:
    """Hands-on work ended in mid-session, at a minute counted from its start."""

    minute: int
    everything: bool
    last_line_id: UUID | None
    at: datetime


@dataclass(frozen=True, slots=True)
class Booked:
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
    purpose: Purpose
    wish: Mode
    planned_mode: Mode
    judgement: Judgement
    exception_id: UUID | None = None
    late: bool = False
    status: Status = Status.BOOKED
    flag: Flag | None = None
    answers: Answers | None = None
    arrived_at: datetime | None = None
    answered_at: datetime | None = None
    opened_at: datetime | None = None
    stop: Stop | None = None
    note_id: UUID | None = None

    @property
    def length(self) -> timedelta:
        """How long it is booked for."""
        return self.ends_at - self.starts_at

    @property
    def mode(self) -> Mode:
        """What it may be at most as last judged, by the flag and by the arrival answers."""
        mode = self.flag.now if self.flag else self.planned_mode
        return narrower(mode, self.judgement.mode) if self.answers else mode


@dataclass(frozen=True, slots=True)
class Calendar:
    """Every session of a client, by id."""

    sessions: Mapping[UUID, Booked]

    def session(self, session_id: UUID) -> Booked:
        """One session; raises Rejected 404 where the client has none with that id."""
        found = self.sessions.get(session_id)
        if found is None:
            raise not_found("session")
        return found

    def upcoming(self, now: datetime) -> Iterator[Booked]:
        """Booked sessions that have not ended, in order of their start."""
        for one in sorted(self.sessions.values(), key=lambda s: (s.starts_at, s.id)):
            if one.status is Status.BOOKED and one.ends_at > now:
                yield one


CalendarBuilder = dict[UUID, Booked]


def _booked(builder: CalendarBuilder, event: SessionBooked) -> None:
    builder[event.session_id] = Booked(
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
        wish=event.wish,
        planned_mode=event.planned_mode,
        judgement=event.judgement,
        exception_id=event.exception_id,
        late=event.late,
    )


def _changed(session: Booked, rec: Recorded) -> Booked:
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
                wish=moved.wish or session.wish,
                planned_mode=moved.planned_mode,
                judgement=moved.judgement,
                exception_id=moved.exception_id,
                flag=None,
            )
        case SessionCancelled():
            return replace(session, status=Status.CANCELLED)
        case SessionAbsent():
            return replace(session, status=Status.ABSENT)
        case SessionArrived() as arrived:
            return replace(
                session,
                status=Status.ARRIVED,
                answers=arrived.answers,
                judgement=arrived.judgement,
                arrived_at=session.arrived_at or rec.effective_at,
                answered_at=rec.effective_at if session.answers is None else rec.recorded_at,
            )
        case SessionOpened() as opened:
            return replace(session, opened_at=rec.effective_at, judgement=opened.judgement)
        case SessionFlagged() as flagged:
            flag = Flag(flagged.now, flagged.reasons, flagged.because)
            return replace(session, flag=flag)
        case SessionStopped() as stopped:
            stop = Stop(stopped.minute, stopped.everything, stopped.last_line_id, rec.effective_at)
            return replace(session, stop=stop)
        case SessionCompleted() as completed:
            return replace(session, status=Status.COMPLETED, note_id=completed.note_id)
    return session


def _evolve(builder: CalendarBuilder, rec: Recorded) -> None:
    if isinstance(rec.data, SessionBooked):
        _booked(builder, rec.data)
        return
    session = builder.get(getattr(rec.data, "session_id", rec.stream))
    if session is not None:
        builder[session.id] = _changed(session, rec)


def _freeze(builder: CalendarBuilder) -> Calendar:
    return Calendar(MappingProxyType(dict(builder)))


CALENDAR: Slice[CalendarBuilder, Calendar] = Slice(
    name="calendar",
    folds=(
        SessionBooked,
        SessionMoved,
        SessionCancelled,
        SessionAbsent,
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
