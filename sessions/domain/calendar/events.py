"""What the calendar leaves on the client's stream, from booking to arrival and stop."""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum
from uuid import UUID

import msgspec

from practice.domain.events import Event, event
from practice.domain.reasons import Reason
from practice.domain.terms import Credential, Mode


class Purpose(StrEnum):
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


class Limb(StrEnum):
    """A limb that may swell."""

    LEFT_ARM = "left_arm"
    RIGHT_ARM = "right_arm"
    LEFT_LEG = "left_leg"
    RIGHT_LEG = "right_leg"


class Symptom(StrEnum):
    """New since the last session; each is a red flag of the day (practice policy)."""

    HOT_RED_OR_BLOTCHY_LIMB = "hot_red_or_blotchy_limb"
    CHEST_PAIN = "chest_pain"
    BREATHLESSNESS = "breathlessness"
    ONE_SIDED_CALF_PAIN = "one_sided_calf_pain"
    NEW_BONE_PAIN = "new_bone_pain"
    NEW_NERVE_PAIN = "new_nerve_pain"


class Fatigue(StrEnum):
    """How tired the client says she is; it warns and never forbids."""

    NONE = "none"
    SOME = "some"
    A_LOT = "a_lot"


class Answers(msgspec.Struct, frozen=True, kw_only=True):
    """The arrival answers of one day. Pain on the 0-10 scale, fever in degrees Celsius,
    pain-free height of the arm in degrees; None = not asked."""

    pain_now: int | None = None
    usual_pain: int | None = None
    swollen: tuple[Limb, ...] = ()
    fever_c: float | None = None
    symptoms: tuple[Symptom, ...] = ()
    other_symptoms: str = ""
    fatigue: Fatigue = Fatigue.NONE
    hands_on_today: HandsOnToday = HandsOnToday.UNANSWERED
    pain_free_height_left: int | None = None
    pain_free_height_right: int | None = None


class Judgement(msgspec.Struct, frozen=True, kw_only=True):
    """One verdict for a whole session as it was reached, and what it rested on.

    ``settings`` holds the revision of each settings group used, ``limit_rows`` the
    ids of the jurisdiction limits and ``catalogue`` the version of the stretches:
    the answer to "why was this allowed that day".
    """

    mode: Mode
    reasons: tuple[Reason, ...] = ()
    settings: dict[str, int] = msgspec.field(default_factory=dict)
    limit_rows: tuple[UUID, ...] = ()
    catalogue: int = 0
    record_version: int = 0


@event("session.booked")
class SessionBooked(Event):
    """A time was taken for the client with a practitioner at a facility.

    ``local_date`` is the day it starts on in ``zone``, the facility's zone then.
    ``late`` marks a session entered after it took place.
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
    purpose: Purpose = Purpose.TREATMENT
    planned_mode: Mode
    judgement: Judgement
    exception_id: UUID | None = None
    warnings: tuple[Reason, ...] = ()
    overlaps: tuple[UUID, ...] = ()
    late: bool = False


@event("session.moved")
class SessionMoved(Event):
    """The same session at another time, place or with another practitioner."""

    session_id: UUID
    practitioner_id: UUID
    credential: Credential
    facility_id: UUID
    room_id: UUID | None = None
    starts_at: datetime
    ends_at: datetime
    zone: str
    local_date: date
    planned_mode: Mode
    judgement: Judgement
    exception_id: UUID | None = None
    warnings: tuple[Reason, ...] = ()
    reason: str


@event("session.cancelled")
class SessionCancelled(Event):
    """Called off before it took place. ``notice_minutes`` is how long before its start."""

    session_id: UUID
    by: CancelledBy
    reason: str
    notice_minutes: int


@event("session.absent")
class SessionAbsent(Event):
    """The client did not come."""

    session_id: UUID
    reason: str = ""


@event("session.arrived")
class SessionArrived(Event):
    """The client came and answered the arrival questions; a second set replaces the first."""

    session_id: UUID
    answers: Answers
    judgement: Judgement


@event("session.opened")
class SessionOpened(Event):
    """The practitioner opened the session and was shown this judgement."""

    session_id: UUID
    practitioner_id: UUID
    judgement: Judgement


@event("session.flagged")
class SessionFlagged(Event):
    """What may be done in a booked session narrowed since it was planned.

    ``because`` is the stable name of the event that narrowed it, or of the changed
    group of settings; a person decides what becomes of the session.
    """

    session_id: UUID
    was: Mode
    now: Mode
    reasons: tuple[Reason, ...]
    because: str
    settings: dict[str, int] = msgspec.field(default_factory=dict)
    limit_rows: tuple[UUID, ...] = ()


@event("session.stopped")
class SessionStopped(Event):
    """Hands-on work was stopped in mid-session; later lines are judged as without consent.

    ``minute`` counts from the start; ``last_line_id`` is the last line done before it.
    """

    session_id: UUID
    minute: int
    last_line_id: UUID | None = None
    reason: str = ""
