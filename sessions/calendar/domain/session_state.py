"""The sessions of one client as the calendar slice holds them: where each stands. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Final
from uuid import UUID

from clients.permissions.domain.results import HandsOnExtent, narrower
from practice.core.reasons import Reason, not_found
from practice.core.terms import Credential, Mode
from sessions.calendar.domain import terms
from sessions.calendar.domain.signs import RaisedSign, SaidWords
from sessions.calendar.domain.stretch_groups import NarrowedGroup, PlannedAtFirst


class SessionStatus(StrEnum):
    """Where a session stands; only booked and arrived ones hold a time."""

    BOOKED = "booked"
    ARRIVED = "arrived"
    COMPLETED = "completed"
    CANCELLED = "cancelled"
    NO_SHOW = "no_show"
    ENTERED_IN_ERROR = "entered_in_error"


STATUS_TEXT: Final = {
    SessionStatus.BOOKED: "booked",
    SessionStatus.ARRIVED: "arrived",
    SessionStatus.COMPLETED: "completed",
    SessionStatus.CANCELLED: "called off",
    SessionStatus.NO_SHOW: "a no-show",
    SessionStatus.ENTERED_IN_ERROR: "entered in error",
}
"""The same in a sentence for people: "The session is …"."""

TIME_HOLDING_STATUSES = (SessionStatus.BOOKED, SessionStatus.ARRIVED)


@dataclass(frozen=True, slots=True)
class SessionFlag:
    """A session that narrowed since it was planned, and why.

    ``before``: of a flag that tells of a fact of the practice, the one that stands again once
    that is put back.
    """

    now: Mode
    reasons: tuple[Reason, ...]
    cause: str
    extent: HandsOnExtent = HandsOnExtent.NOTHING
    narrowed: tuple[NarrowedGroup, ...] = ()
    before: SessionFlag | None = None


@dataclass(frozen=True, slots=True)
class SessionStop:
    """Hands-on work ended in mid-session, at a minute counted from its start."""

    minute: int
    everything: bool
    last_line_id: UUID | None
    occurred_at: datetime


@dataclass(frozen=True, slots=True)
class Cancellation:
    """Who called a session off, why, and how long before its start."""

    by: terms.CancelledBy
    cause: str
    notice_minutes: int


@dataclass(frozen=True, slots=True)
class Confirmation:
    """Who said that the client will come, and how."""

    by: terms.ConfirmedBy
    how: terms.ConfirmedHow


@dataclass(frozen=True, slots=True)
class SessionState:
    """One session. ``mode`` is what was last evaluated, never wider than ``planned_mode``.

    ``plan`` is the verdict it was planned by, ``permissions`` the last one. ``flag`` stands
    until a person plans anew, ``day_flag`` while answers on arrival say so. ``answers`` are
    all that were given, the later over the earlier. ``touch_stop`` is the earliest stop of
    touch, ``end_stop`` the earliest that ended the session. ``moved_alone``: it stands apart
    from the other sessions of its series. ``overruled``: why it stands although the place was
    closed or the practitioner absent. ``class_id``: it is a place in a class. ``at_first``:
    what it was planned as before it narrowed, where a move left it narrower.
    """

    id: UUID
    practitioner_id: UUID
    credential: Credential
    facility_id: UUID
    room_id: UUID | None
    starts_at: datetime
    ends_at: datetime
    zone: str
    local_date: date
    purpose: terms.SessionPurpose
    requested_mode: Mode | None
    planned_mode: Mode
    plan: terms.PermissionsSnapshot
    permissions: terms.PermissionsSnapshot
    exception_id: UUID | None = None
    late_entry: bool = False
    status: SessionStatus = SessionStatus.BOOKED
    flag: SessionFlag | None = None
    day_flag: SessionFlag | None = None
    answers: terms.SubmittedArrivalAnswers | None = None
    arrived_at: datetime | None = None
    answered_at: datetime | None = None
    opened_at: datetime | None = None
    touch_stop: SessionStop | None = None
    end_stop: SessionStop | None = None
    signs: tuple[RaisedSign, ...] = ()
    words: tuple[SaidWords, ...] = ()
    cancellation: Cancellation | None = None
    confirmation: Confirmation | None = None
    ended_reason: str = ""
    note_id: UUID | None = None
    series_id: UUID | None = None
    kind: terms.BookedKind | None = None
    moved_alone: bool = False
    class_id: UUID | None = None
    overruled: str = ""
    at_first: PlannedAtFirst | None = None

    @property
    def length(self) -> timedelta:
        """How long it is booked for."""
        return self.ends_at - self.starts_at

    @property
    def stop(self) -> SessionStop | None:
        """The stop that counts once all are over: the end of the session before that of touch."""
        return self.end_stop or self.touch_stop

    @property
    def stops(self) -> tuple[SessionStop, ...]:
        """The stops that count, each from its own minute."""
        return tuple(one for one in (self.touch_stop, self.end_stop) if one is not None)

    @property
    def booked_minutes(self) -> int:
        """How many whole minutes it is booked for."""
        return self.length // timedelta(minutes=1)

    @property
    def mode(self) -> Mode:
        """What it may be at most as last evaluated, by the flag and by the arrival answers."""
        mode = self.flag.now if self.flag else self.planned_mode
        if self.day_flag:
            mode = narrower(mode, self.day_flag.now)
        return narrower(mode, self.permissions.mode) if self.answers else mode


def planned_extent(session: SessionState) -> HandsOnExtent:
    """How much of a session was planned by hand."""
    planned = session.planned_mode is Mode.HANDS_ON
    return session.plan.planned_extent if planned else HandsOnExtent.NOTHING


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

    def of_series(self, series_id: UUID) -> list[SessionState]:
        """The sessions that were booked in a series, in order of their start."""
        found = [one for one in self.sessions.values() if one.series_id == series_id]
        return sorted(found, key=lambda one: (one.starts_at, one.id))

    def unfinished(self, now: datetime) -> Iterator[SessionState]:
        """Booked and arrived sessions that have not ended, in order of their start."""
        for one in sorted(self.sessions.values(), key=lambda s: (s.starts_at, s.id)):
            if one.status in TIME_HOLDING_STATUSES and one.ends_at > now:
                yield one
