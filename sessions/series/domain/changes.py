"""What is asked of a series as a whole, which sessions it touches, where they go. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from uuid import UUID

from practice.core.localtime import EnteredTime, derived_instant, zone_named
from practice.core.reasons import Rejected, invalid
from practice.core.terms import Mode
from sessions.calendar.domain.session_state import SessionState, SessionStatus
from sessions.calendar.domain.terms import CancelledBy, SessionPurpose

LEFT_BECAUSE: Final[Mapping[SessionStatus, str]] = {
    SessionStatus.ARRIVED: "The client has arrived.",
    SessionStatus.COMPLETED: "It took place.",
    SessionStatus.CANCELLED: "It is cancelled already.",
    SessionStatus.NO_SHOW: "The client did not come to it.",
    SessionStatus.ENTERED_IN_ERROR: "It was entered in error.",
}
BEGUN: Final = "Its time has come."
MOVED_ALONE: Final = "It was moved by itself before: move it by itself again."
NOT_SEEN: Final = "It is at a facility that you do not see."


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesRequest:
    """A series to be booked: its first local start, and the rule that repeats it (RFC 5545).

    ``kind_id``: the practice's kind, from which length, purpose and mode follow where they are
    not given. ``overrule``: why each is to be although the place is closed or the practitioner
    absent then."""

    client_id: UUID
    practitioner_id: UUID
    facility_id: UUID
    starts_at: EnteredTime
    recurrence: str
    minutes: int | None = None
    room_id: UUID | None = None
    requested_mode: Mode | None = None
    purpose: SessionPurpose | None = None
    kind_id: UUID | None = None
    overrule: str = ""
    all_or_nothing: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesMoveRequest:
    """Another time, practitioner or room for the sessions from a local day on.

    By ``shift_minutes`` of the clock, or to another ``weekday`` (ISO, Monday 1) of the same week
    and ``time`` of the clock. ``of_weekday``: only those of the series on that weekday.
    ``overrule``: as in SeriesRequest.
    """

    from_day: date
    reason: str
    shift_minutes: int | None = None
    of_weekday: int | None = None
    weekday: int | None = None
    time: time | None = None
    practitioner_id: UUID | None = None
    room_id: UUID | None = None
    keep_room: bool = True
    overrule: str = ""
    all_or_nothing: bool = False

    @property
    def retimes(self) -> bool:
        """Whether another time is asked for."""
        return (self.shift_minutes, self.weekday, self.time) != (None, None, None)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesCancelRequest:
    """Call off the sessions from a local day on; who and why are kept for each."""

    from_day: date
    by: CancelledBy
    reason: str
    occurred_at: datetime | None = None


def first_local(entered: EnteredTime, zone: str) -> datetime:
    """The first start on the facility's clock, naive. It is one of a series: what falls into a
    gap or a fold is derived like every other (ruling 19)."""
    if entered.fold is not None:
        raise invalid("starts_at", "A time of a series that exists twice is the first of the two.")
    if entered.local is not None:
        return entered.local.replace(tzinfo=None)
    return entered.at(zone).astimezone(zone_named(zone)).replace(tzinfo=None)


def touched(
    sessions: Sequence[SessionState], from_day: date, of_weekday: int | None = None
) -> list[SessionState]:
    """The sessions that a command is about. Raises Rejected 409 where there are none."""
    found = [
        one
        for one in sessions
        if one.local_date >= from_day and of_weekday in (None, one.local_date.isoweekday())
    ]
    if not found:
        detail = "The series has no session from that day on"
        detail += "." if of_weekday is None else " on that weekday."
        raise Rejected("no_such_sessions", detail)
    return found


def left_because(session: SessionState, now: datetime) -> str:
    """Why a session is left as it is by a command of its series; empty where it is not."""
    if session.status is not SessionStatus.BOOKED:
        return LEFT_BECAUSE[session.status]
    return BEGUN if session.starts_at <= now else ""


def check_move(command: SeriesMoveRequest, sessions: Sequence[SessionState]) -> None:
    """Raises Rejected 400 for a move that says nothing, two things, or not which weekday."""
    placed = command.practitioner_id is not None or not command.keep_room
    if not command.retimes and not placed:
        raise invalid("shift_minutes", "Say what changes: the time, the practitioner or the room.")
    if command.shift_minutes is not None and (command.weekday or command.time):
        raise invalid("shift_minutes", "Give either shift_minutes or a weekday and a time.")
    if command.weekday and len({one.local_date.isoweekday() for one in sessions}) > 1:
        raise invalid("of_weekday", "The sessions are on several weekdays: say which one moves.")


def new_start(session: SessionState, command: SeriesMoveRequest) -> datetime:
    """Where the move puts the start of a session (UTC), on the clock of its facility."""
    local = session.starts_at.astimezone(zone_named(session.zone)).replace(tzinfo=None)
    if command.weekday is not None:
        local += timedelta(days=command.weekday - local.isoweekday())
    if command.time is not None:
        local = datetime.combine(local.date(), command.time)
    local += timedelta(minutes=command.shift_minutes or 0)
    return derived_instant(local, session.zone).astimezone(UTC)


def in_order_of_move(
    sessions: Sequence[SessionState], command: SeriesMoveRequest
) -> list[SessionState]:
    """So that none is moved onto another of the series that has yet to leave: those that go
    later from the last one on, the others from the first."""
    later = [one for one in sessions if new_start(one, command) > one.starts_at]
    others = [one for one in sessions if one not in later]
    return [*reversed(later), *others]
