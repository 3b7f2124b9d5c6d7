"""What is asked of the calendar and the facts that a decision is given."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final
from uuid import UUID
from zoneinfo import ZoneInfo

from clients.health.domain.terms import RedFlag
from practice.core.reasons import Reason
from practice.core.terms import Credential, Mode
from sessions.calendar.domain.class_places import ClassPlaces
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.domain.terms import (
    BookedKind,
    CancelledBy,
    PermissionsSnapshot,
    SessionPurpose,
    SubmittedArrivalAnswers,
)


class ConflictWith(StrEnum):
    """Who or what is in another session at that time."""

    PRACTITIONER = "practitioner"
    ROOM = "room"
    CLIENT = "client"


@dataclass(frozen=True, slots=True)
class SchedulingConflict:
    """Another session that holds the time, and which of the three it takes.

    ``client_name``: whose it is, where the caller may see that session; None: they may not.
    """

    taken: ConflictWith
    session_id: UUID
    starts_at: datetime
    ends_at: datetime
    client_name: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A time at a place with a practitioner. ``zone`` is the facility's IANA zone, ``class_id``
    the class in which it is a place."""

    practitioner_id: UUID
    credential: Credential
    facility_id: UUID
    room_id: UUID | None
    starts_at: datetime
    ends_at: datetime
    zone: str
    class_id: UUID | None = None

    @property
    def length(self) -> timedelta:
        """From start to end."""
        return self.ends_at - self.starts_at

    @property
    def local_start(self) -> datetime:
        """The start on the facility's clock."""
        return self.starts_at.astimezone(ZoneInfo(self.zone))


@dataclass(frozen=True, slots=True, kw_only=True)
class PreferenceFinding:
    """Whether this practitioner stands against the client's preference for all work.

    ``exception_id`` is the exception that the client agreed to, where one applies.
    """

    against: tuple[Reason, ...] = ()
    exception_id: UUID | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BookingFacts:
    """What was found, under the locks, about the slot that is asked for.

    ``closed``: why the place is closed or the practitioner absent then; ``held``: why the time
    is for evaluations alone.
    ``session_id`` is that of the moved session, or the one a new session will have,
    ``series_id`` the series that a new one is booked in, ``kind`` the practice's kind of
    session. ``red_flags`` and ``words`` are those in the answers of a session entered late.
    ``class_places``: of the class, for a place in one.
    """

    session_id: UUID
    slot: Slot
    permissions: PermissionsSnapshot
    settings: CalendarSettings
    conflicts: tuple[SchedulingConflict, ...] = ()
    red_flags: tuple[RedFlag, ...] = ()
    words: str = ""
    preference: PreferenceFinding = field(default_factory=PreferenceFinding)
    warnings: tuple[Reason, ...] = ()
    closed: tuple[Reason, ...] = ()
    held: tuple[Reason, ...] = ()
    evaluating_credentials: tuple[Credential, ...] = ()
    series_id: UUID | None = None
    kind: BookedKind | None = None
    class_places: ClassPlaces | None = None

    def of_purpose(self, purpose: SessionPurpose) -> BookingFacts:
        """The same for a purpose: to all but an evaluation a held time is closed."""
        if purpose is SessionPurpose.EVALUATION or not self.held:
            return self
        return replace(self, closed=(*self.closed, *self.held), held=())


@dataclass(frozen=True, slots=True, kw_only=True)
class BookingQuestion:
    """What higher layers are asked at booking: a slot, and the session that would be moved to
    it; None for one that is only offered."""

    slot: Slot
    session_id: UUID | None = None


BOOKING: Final = "session.booking"
"""The question itself: what would a booking be warned of."""
UNPAID: Final = "session.unpaid"
"""Of the same facts: why nobody but the client would pay for the session at all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BookSession:
    """Take a time, hands_on or self_directed; None: as permitted. ``overrule``: why it is taken
    although the place is closed or the practitioner absent."""

    requested_mode: Mode | None = None
    purpose: SessionPurpose = SessionPurpose.TREATMENT
    overrule: str = ""


class Attendance(StrEnum):
    """What became of a session that is entered after it took place."""

    ATTENDED = "attended"
    NO_SHOW = "no_show"


@dataclass(frozen=True, slots=True, kw_only=True)
class EnterLateSession:
    """Enter a session after it took place, with what was answered on arrival."""

    attendance: Attendance
    requested_mode: Mode | None = None
    purpose: SessionPurpose = SessionPurpose.TREATMENT
    answers: SubmittedArrivalAnswers = field(default_factory=SubmittedArrivalAnswers)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveSession:
    """Give a session another time, place or practitioner, or plan it anew.

    ``requested_mode`` None keeps what is planned: a move alone never turns a session hands-on.
    ``with_series``: the whole series is moved, so that this one is no exception of it;
    ``with_class``: the class in which it is a place is. ``overrule``: as in BookSession.
    """

    session_id: UUID
    reason: str
    requested_mode: Mode | None = None
    with_series: bool = False
    with_class: bool = False
    overrule: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CancelSession:
    """Call a session off; who did and why are always recorded. ``occurred_at``: when the
    practice was told, where it is entered later. ``with_series``: with the rest of its series;
    ``with_class``: for the sake of its class."""

    session_id: UUID
    by: CancelledBy
    reason: str
    occurred_at: datetime | None = None
    with_series: bool = False
    with_class: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkNoShow:
    """The client did not come."""

    session_id: UUID
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordArrival:
    """The client came and answered; ``occurred_at`` where it is entered later than it happened,
    ``reason`` why a no-show that stands is taken back."""

    session_id: UUID
    answers: SubmittedArrivalAnswers
    occurred_at: datetime | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StopSession:
    """Hands-on work was stopped; ``minute`` counts from the session's start."""

    session_id: UUID
    minute: int
    everything: bool = False
    last_line_id: UUID | None = None
    reason: str = ""
    occurred_at: datetime | None = None
