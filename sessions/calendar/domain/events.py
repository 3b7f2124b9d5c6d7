"""What the calendar leaves on the client's stream, from booking to arrival and stop."""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum
from uuid import UUID

import msgspec

from clients.health.domain.terms import Limb, RedFlag
from clients.permissions.domain.results import HandsOnExtent, UsedRowKind
from practice.core.events import Event, event
from practice.core.reasons import Reason
from practice.core.terms import Credential, Mode, Side
from sessions.calendar.domain.stretch_groups import NarrowedGroup, StretchGroup, StretchSet


class SessionPurpose(StrEnum):
    """What a session is booked for; an evaluation needs more time for measuring and talk."""

    TREATMENT = "treatment"
    EVALUATION = "evaluation"
    RECHECK = "recheck"


class CancelledBy(StrEnum):
    """Who called a session off."""

    CLIENT = "client"
    PRACTICE = "practice"


class HandsOnToday(StrEnum):
    """The client's answer to "hands-on all right today?"; a standing consent is no answer."""

    YES = "yes"
    NO = "no"
    UNANSWERED = "unanswered"


class NewSwelling(msgspec.Struct, frozen=True, kw_only=True, order=True):
    """A limb that the client says is newly swollen."""

    limb: Limb
    side: Side


class ShoulderToday(msgspec.Struct, frozen=True, kw_only=True):
    """One shoulder: whether it pinches, and to what height (degrees) it is free of pain."""

    side: Side
    pinches: bool
    degrees: float | None = None


class SubmittedArrivalAnswers(msgspec.Struct, frozen=True, kw_only=True):
    """The arrival answers of one day; None is a question that was not asked or answered.

    Pain and fatigue 0-10, ``fever_c`` in degrees Celsius, ``feverish`` the client's own word.
    ``usual_pain`` as the client says it today; it counts where it narrows. ``shoulders``:
    whether one pinches and to what height (degrees) it is free of pain today.
    ``chemotherapy``: whether the client is having chemotherapy now. ``other_symptoms``
    empty: nothing was said.
    """

    pain_now: int | None = None
    usual_pain: int | None = None
    swelling: tuple[NewSwelling, ...] | None = None
    feverish: bool | None = None
    fever_c: float | None = None
    new_symptoms: tuple[RedFlag, ...] | None = None
    other_symptoms: str = ""
    fatigue: int | None = None
    hands_on_today: HandsOnToday = HandsOnToday.UNANSWERED
    shoulders: tuple[ShoulderToday, ...] | None = None
    chemotherapy: bool | None = None
    companion_present: bool | None = None
    interpreter_present: bool | None = None


class KeptRow(msgspec.Struct, frozen=True, kw_only=True):
    """A row of the practice's tables that a verdict rested on, at its revision then."""

    kind: UsedRowKind
    id: UUID
    revision: int


class PermissionsSnapshot(msgspec.Struct, frozen=True, kw_only=True):
    """The permissions of a whole session as evaluated, and what they rested on.

    ``settings`` holds the revision of each group of settings used, ``limit_rows`` the
    ids of the jurisdiction limits, ``catalogue`` the version of the stretches and
    ``rules`` that of the rules in code: the answer to "why was this allowed that day".
    ``provisional``: the day's questions were not all answered yet. ``extent`` and
    ``planned_extent``: how much of the client's programme is by hand, then and if the day
    brings nothing new. ``stretches`` are the verdicts of all of the catalogue with
    ``stretch_reasons``, to which their numbers point; ``programme`` those of them that
    were on the client's programme and are by hand; empty where none were.
    ``rows``: licences, sign-offs, supervision and limits, each at its revision; ``orders``
    the ids of those in force.
    """

    mode: Mode
    extent: HandsOnExtent = HandsOnExtent.NOTHING
    planned_extent: HandsOnExtent = HandsOnExtent.NOTHING
    reasons: tuple[Reason, ...] = ()
    provisional: bool = False
    rules: int = 0
    settings: dict[str, int] = msgspec.field(default_factory=dict)
    record: int = 0
    catalogue: int = 0
    consent_id: UUID | None = None
    limit_rows: tuple[UUID, ...] = ()
    rows: tuple[KeptRow, ...] = ()
    orders: tuple[UUID, ...] = ()
    stretches: tuple[StretchGroup, ...] = ()
    stretch_reasons: tuple[Reason, ...] = ()
    programme: tuple[StretchSet, ...] = ()


@event("session.booked")
class SessionBooked(Event, frozen=True, kw_only=True):
    """A time was taken for the client with a practitioner at a facility.

    ``local_date`` is the day it starts on in ``zone``, the facility's zone then.
    ``requested_mode`` is what was asked for, None where nothing was; ``planned_mode`` what it
    may be. ``late_entry`` marks a session entered after it took place, ``overlaps`` the
    sessions it overlaps then.
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


@event("session.moved")
class SessionMoved(Event, frozen=True, kw_only=True):
    """The same session at another time, place or with another practitioner, or planned anew.

    ``requested_mode`` None: what was asked for when it was booked stands.
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


@event("session.cancelled")
class SessionCancelled(Event, frozen=True, kw_only=True):
    """Called off before it took place. ``notice_minutes`` is how long before its start the
    practice was told."""

    session_id: UUID
    by: CancelledBy
    reason: str
    notice_minutes: int


@event("session.marked_no_show")
class SessionMarkedNoShow(Event, frozen=True, kw_only=True):
    """The client did not come."""

    session_id: UUID
    reason: str = ""


@event("session.arrived")
class SessionArrived(Event, frozen=True, kw_only=True):
    """The client came and answered the arrival questions.

    ``answers`` are those given this time: what is not answered in them keeps its earlier
    answer. ``red_flags`` are the signs in them, by the thresholds of the day; each stands
    until it is cleared. ``words`` are free words that say something; they wait for a review.
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
    signs that they turned out to be, ``permissions`` what this session may be by then.
    """

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

    ``cause`` is the stable name of the event that narrowed it, or of the changed group of
    settings; a person decides what becomes of the session. ``was`` and ``now`` are the widest
    of it, ``extent`` how much is still by hand, ``narrowed`` what is narrower than planned,
    with numbers that point to ``reasons``. ``of_day``: by answers on arrival, so it holds
    while they do.
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


class CorrectedStatus(StrEnum):
    """What a session turned out to be once a slip of the desk was set right."""

    BOOKED = "booked"
    NO_SHOW = "no_show"
    CANCELLED = "cancelled"


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
    """The session should not stand here: the wrong client, or it never was. It holds no time.

    ``was`` is the status that it had.
    """

    session_id: UUID
    was: str
    reason: str
