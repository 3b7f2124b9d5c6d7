"""What the calendar leaves on the client's stream, from booking to arrival and stop."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

import msgspec

from clients.health.domain.terms import RedFlag
from clients.permissions.domain.results import HandsOnExtent
from practice.core.events import Event, event, upcaster
from practice.core.reasons import Reason
from practice.core.terms import Credential, Mode
from sessions.calendar.domain.stretch_groups import NarrowedGroup, PlannedAtFirst
from sessions.calendar.domain.terms import (
    BookedKind,
    CancelledBy,
    ConfirmedBy,
    ConfirmedHow,
    CorrectedStatus,
    PermissionsSnapshot,
    SessionPurpose,
    SubmittedArrivalAnswers,
)


@event("session.booked", version=2)
class SessionBooked(Event, frozen=True, kw_only=True):
    """A time was taken for the client with a practitioner at a facility.

    ``local_date`` is the day it starts on in ``zone``, the facility's zone then.
    ``requested_mode`` is what was asked for, None where nothing was; ``planned_mode`` what it
    may be. ``late_entry`` marks a session entered after it took place, ``overlaps`` the
    sessions it overlaps then. ``series_id``: the series it was booked in, if in one;
    ``class_id``: the class in which it is a place.
    ``overruled``: why it was booked although the place was closed or the practitioner absent.
    ``kind``: what the practice calls such a session, where it was named.
    """

    session_id: UUID
    practitioner_id: UUID
    credential: Credential
    facility_id: UUID
    room_id: UUID | None = None
    starts_at: datetime
    ends_at: datetime
    zone: str
    local_date: date
    requested_mode: Mode | None = None
    purpose: SessionPurpose = SessionPurpose.TREATMENT
    planned_mode: Mode
    permissions: PermissionsSnapshot
    exception_id: UUID | None = None
    warnings: tuple[Reason, ...] = ()
    overlaps: tuple[UUID, ...] = ()
    late_entry: bool = False
    series_id: UUID | None = None
    class_id: UUID | None = None
    overruled: str = ""
    kind: BookedKind | None = None


@event("session.moved", version=3)
class SessionMoved(Event, frozen=True, kw_only=True):
    """The same session at another time, place or with another practitioner, or planned anew.

    ``requested_mode`` None: what was asked for when it was booked stands. ``alone``: it went
    to another time, place or practitioner by itself and stands apart from its series since.
    ``with_class``: the class moved in which it is a place. ``overruled``: as in SessionBooked.
    ``at_first``: what it was planned as before it narrowed, where nobody planned it anew.
    """

    session_id: UUID
    practitioner_id: UUID
    credential: Credential
    facility_id: UUID
    room_id: UUID | None = None
    starts_at: datetime
    ends_at: datetime
    zone: str
    local_date: date
    requested_mode: Mode | None = None
    planned_mode: Mode
    permissions: PermissionsSnapshot
    exception_id: UUID | None = None
    warnings: tuple[Reason, ...] = ()
    reason: str
    alone: bool = False
    with_class: bool = False
    overruled: str = ""
    at_first: PlannedAtFirst | None = None


@event("session.cancelled", version=2)
class SessionCancelled(Event, frozen=True, kw_only=True):
    """Called off, ``notice_minutes`` before its start. ``alone``: without the series that it is
    in; ``with_class``: with the class in which it is a place."""

    session_id: UUID
    by: CancelledBy
    reason: str
    notice_minutes: int
    alone: bool = False
    with_class: bool = False


@upcaster("session.booked", from_version=1)
@upcaster("session.moved", from_version=1)
@upcaster("session.moved", from_version=2)
@upcaster("session.cancelled", from_version=1)
def _as_written(payload: dict[str, Any]) -> dict[str, Any]:
    """Fields that came since: series, classes, kinds, what is overruled; what was at first."""
    return payload


@event("session.confirmed")
class SessionConfirmed(Event, frozen=True, kw_only=True):
    """Someone said that the client will come at the time that is booked."""

    session_id: UUID
    by: ConfirmedBy
    how: ConfirmedHow


@event("session.confirmation_taken_back")
class SessionConfirmationTakenBack(Event, frozen=True, kw_only=True):
    """It is not certain any more that the client comes, or it was marked by mistake."""

    session_id: UUID
    reason: str


@event("session.marked_no_show")
class SessionMarkedNoShow(Event, frozen=True, kw_only=True):
    """The client did not come."""

    session_id: UUID
    reason: str = ""


@event("session.arrived")
class SessionArrived(Event, frozen=True, kw_only=True):
    """The client came and answered the arrival questions.

    ``answers`` are those given this time; the others keep their earlier answer. ``red_flags``
    are the signs in them; each stands until it is cleared. ``words`` wait for a review.
    """

    session_id: UUID
    answers: SubmittedArrivalAnswers
    red_flags: tuple[RedFlag, ...] = ()
    words: str = ""
    permissions: PermissionsSnapshot


@event("session.red_flag_cleared")
class RedFlagCleared(Event, frozen=True, kw_only=True):
    """A practitioner who may evaluate looked at a sign and says what was found.

    It counts in every session of the client, from then on. ``permissions``: what this session
    may be by then, where the client has arrived for it.
    """

    session_id: UUID
    red_flag: RedFlag
    practitioner_id: UUID
    credential: Credential
    found: str
    permissions: PermissionsSnapshot | None = None


@event("session.words_reviewed")
class ArrivalWordsReviewed(Event, frozen=True, kw_only=True):
    """A practitioner who may evaluate read the client's free words and says what they mean.

    ``words`` are those that were read, in whichever session they were said; ``red_flags`` the
    signs that they turned out to be, ``permissions`` what this session may be by then."""

    session_id: UUID
    words: tuple[str, ...]
    practitioner_id: UUID
    credential: Credential
    found: str
    red_flags: tuple[RedFlag, ...] = ()
    permissions: PermissionsSnapshot | None = None


@event("session.opened")
class SessionOpened(Event, frozen=True, kw_only=True):
    """The practitioner opened the session and was shown these permissions."""

    session_id: UUID
    practitioner_id: UUID
    permissions: PermissionsSnapshot


@event("session.flagged")
class SessionFlagged(Event, frozen=True, kw_only=True):
    """What may be done in a session narrowed since it was planned.

    ``cause`` is the stable name of the event that narrowed it, ``settings`` or, with a new
    version of the program, ``rules``; a person decides what becomes of the session. ``was``
    and ``now`` are the widest of it, ``extent`` how much is still by hand, ``narrowed`` what
    is narrower than planned, with numbers that point to ``reasons``. ``of_day``: by answers on
    arrival, so it holds while they do.
    """

    session_id: UUID
    was: Mode
    now: Mode
    reasons: tuple[Reason, ...]
    cause: str
    extent: HandsOnExtent = HandsOnExtent.NOTHING
    narrowed: tuple[NarrowedGroup, ...] = ()
    of_day: bool = False
    settings: dict[str, int] = msgspec.field(default_factory=dict)
    limit_rows: tuple[UUID, ...] = ()


@event("session.day_flag_ended")
class SessionDayFlagEnded(Event, frozen=True, kw_only=True):
    """Answers on arrival were corrected and narrow a session no more; other flags stay."""

    session_id: UUID


@event("session.flag_ended")
class SessionFlagEnded(Event, frozen=True, kw_only=True):
    """A flag ended because the fact of the practice that it told of was put back. ``mode`` and
    ``extent`` are as it was planned; a flag that stood before follows as an event of its own."""

    session_id: UUID
    mode: Mode
    extent: HandsOnExtent


@event("session.stopped")
class SessionStopped(Event, frozen=True, kw_only=True):
    """Hands-on work was stopped in mid-session; later lines are evaluated as without consent.

    ``minute`` counts from the start; ``last_line_id`` is the last line done before it.
    ``everything``: the session ended; else touch ended and the client went on alone. One may
    follow the other: each counts from its own minute.
    """

    session_id: UUID
    minute: int
    everything: bool = False
    last_line_id: UUID | None = None
    reason: str = ""


@event("session.completed")
class SessionCompleted(Event, frozen=True, kw_only=True):
    """The session took place and is closed: the note with this id was signed in the same batch."""

    session_id: UUID
    note_id: UUID


@event("session.completion_taken_back")
class SessionCompletionTakenBack(Event, frozen=True, kw_only=True):
    """The session's note was entered in error for this reason; it stands and has none again."""

    session_id: UUID
    note_id: UUID
    reason: str


@event("session.status_corrected")
class SessionStatusCorrected(Event, frozen=True, kw_only=True):
    """A slip was set right: arrived on the wrong row, no-show or cancelled by mistake, or
    called off by another or for another cause than was written down.

    ``was`` and ``now`` are the status before and after, ``reason`` says why it is corrected.
    ``by``, ``cause`` and ``notice_minutes`` are those of the cancellation that stands now.
    Back at booked, what was answered and opened in it is taken back, and ``permissions`` is
    what the session may be.
    """

    session_id: UUID
    was: str
    now: CorrectedStatus
    reason: str
    by: CancelledBy | None = None
    cause: str = ""
    notice_minutes: int | None = None
    permissions: PermissionsSnapshot | None = None


@event("session.entered_in_error")
class SessionEnteredInError(Event, frozen=True, kw_only=True):
    """The session should not stand here: the wrong client, or it never was. It holds no time;
    ``was`` is the status that it had."""

    session_id: UUID
    was: str
    reason: str
