"""What is asked for when a session is booked, entered late or moved."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from uuid import UUID

from practice.core.localtime import EnteredTime
from practice.core.reasons import invalid
from practice.core.terms import Mode
from sessions.booking.domain.commands import Attendance
from sessions.calendar.domain.terms import SessionPurpose, SubmittedArrivalAnswers
from sessions.kinds.domain.kind import SessionKind, check_bookable, mode_of, purpose_of


@dataclass(frozen=True, kw_only=True)
class RequestedTime:
    """A time as it is asked for: a start, and either an end or a length in minutes."""

    starts_at: EnteredTime
    ends_at: EnteredTime | None = None
    minutes: int | None = None

    def span(self, zone: str) -> tuple[datetime, datetime]:
        """Start and end as instants. Raises Rejected 400 for a time that cannot be."""
        starts = self.starts_at.at(zone)
        if (self.ends_at is None) == (self.minutes is None):
            raise invalid("minutes", "Give either minutes or ends_at.")
        if self.ends_at is not None:
            return starts, self.ends_at.at(zone)
        return starts, starts + timedelta(minutes=self.minutes or 0)


@dataclass(frozen=True, kw_only=True)
class BookRequest:
    """What is asked for when a session is booked, or entered after it took place.

    ``kind_id``: the practice's kind, from which length, purpose and mode follow where they are
    not given; without one the purpose is treatment."""

    client_id: UUID
    practitioner_id: UUID
    facility_id: UUID
    room_id: UUID | None = None
    when: RequestedTime
    requested_mode: Mode | None = None
    purpose: SessionPurpose | None = None
    kind_id: UUID | None = None
    attendance: Attendance | None = None
    answers: SubmittedArrivalAnswers = field(default_factory=SubmittedArrivalAnswers)
    series_id: UUID | None = None
    class_id: UUID | None = None
    overrule: str = ""

    def of_kind(self, kind: SessionKind) -> BookRequest:
        """The same with what follows from the kind. Raises Rejected for what does not fit it."""
        if self.attendance is None:
            check_bookable(kind)
        when = self.when
        if when.ends_at is None and when.minutes is None:
            when = replace(when, minutes=kind.default_minutes)
        purpose, mode = purpose_of(kind, self.purpose), mode_of(kind, self.requested_mode)
        return replace(self, when=when, purpose=purpose, requested_mode=mode)


@dataclass(frozen=True, kw_only=True)
class MoveRequest:
    """What is asked for when a session is moved; None keeps what is booked."""

    reason: str
    practitioner_id: UUID | None = None
    facility_id: UUID | None = None
    room_id: UUID | None = None
    keep_room: bool = True
    when: RequestedTime | None = None
    requested_mode: Mode | None = None
    with_series: bool = False
    with_class: bool = False
    overrule: str = ""
