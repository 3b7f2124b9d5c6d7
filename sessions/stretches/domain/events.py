"""The stretches a client is on, their discharge and the re-checks that follow."""

from __future__ import annotations

from datetime import date, datetime
from enum import StrEnum
from uuid import UUID

import msgspec

from practice.core.events import Event, event
from practice.core.terms import BodyPosition, Instrument, MotionType, Movement, Side, Technique
from sessions.catalogue.domain.terms import Dose, PostureKind
from sessions.measurements.domain.events import PostureSeverity


class Reference(msgspec.Struct, frozen=True, kw_only=True):
    """The reading of one movement at discharge: what re-checks are evaluated against."""

    reading_id: UUID
    movement: Movement
    side: Side
    motion: MotionType
    degrees: int
    instrument: Instrument
    rater_id: UUID
    position: BodyPosition
    assisted: bool = False
    at_goal: bool = True


class PostureReference(msgspec.Struct, frozen=True, kw_only=True):
    """The posture finding that a discharge stands on."""

    finding: PostureKind
    severity: PostureSeverity
    side: Side = Side.BOTH
    finding_id: UUID | None = None


class PlannedRecheck(msgspec.Struct, frozen=True, kw_only=True):
    """One re-check: ``months`` after the discharge, on a local date, due at that day's start.

    ``call_at`` is when the desk is to be told: ``due_at`` less the lead time.
    """

    recheck_id: UUID
    months: int
    due_on: date
    due_at: datetime
    call_at: datetime


class ReadingEvaluation(msgspec.Struct, frozen=True, kw_only=True):
    """One movement evaluated against the discharge reading.

    ``change`` in degrees, negative where range was lost; ``threshold`` is the
    measurement error it had to exceed, ``policy`` what that number rests on.
    """

    reading_id: UUID
    movement: Movement
    reference: int
    degrees: int
    change: int
    threshold: float
    policy: str
    label: str


class PostureEvaluation(msgspec.Struct, frozen=True, kw_only=True):
    """One posture finding evaluated against the discharge: a grade worse is regression."""

    finding_id: UUID
    finding: PostureKind
    side: Side
    reference: PostureSeverity
    severity: PostureSeverity
    worse: bool


class PainEvaluation(msgspec.Struct, frozen=True, kw_only=True):
    """Pain (0 to 10) evaluated against the discharge: a grade worse is regression."""

    reading_id: UUID
    reference: int
    pain: int
    worse: bool


class ReminderChannel(StrEnum):
    """How the client is told that a re-check comes due."""

    MAIL = "mail"
    LIST_ONLY = "list_only"


class ResumedBy(StrEnum):
    """Who brought a stretch back."""

    RECHECK = "recheck"
    PRACTITIONER = "practitioner"


@event("stretch.prescribed")
class StretchPrescribed(Event, frozen=True, kw_only=True):
    """A stretch prescribed to the client, with the catalogue's version it came from."""

    prescription_id: UUID
    stretch: str
    name: str
    catalogue_version: int
    side: Side
    techniques: tuple[Technique, ...]
    doses: tuple[Dose, ...]
    movements: tuple[Movement, ...]
    findings: tuple[PostureKind, ...] = ()
    eases_pain: bool = False
    facility_id: UUID | None = None
    session_id: UUID | None = None
    warnings: tuple[str, ...] = ()
    reason: str = ""


@event("stretch.started")
class StretchStarted(Event, frozen=True, kw_only=True):
    """The client has begun to do the stretch."""

    prescription_id: UUID
    session_id: UUID | None = None


class RestsOnStart(StrEnum):
    """What came later rests on the start of a stretch."""

    DISCHARGE = "discharge"
    END = "end"


@event("stretch.start_entered_in_error")
class StretchStartEnteredInError(Event, frozen=True, kw_only=True):
    """The session in which a stretch had started, or its note, was entered in error.

    The start is taken back, unless something later ``rests_on`` it: then it stands and a
    person is asked.
    """

    prescription_id: UUID
    session_id: UUID
    reason: str
    rests_on: RestsOnStart | None = None


@event("stretch.discharged")
class StretchDischarged(Event, frozen=True, kw_only=True):
    """The client needs the stretch no longer; its range is looked at again later.

    All that decided is kept: the reading each movement is evaluated against, the
    local day, the zone, the intervals in months, the lead time in days, the
    revision of the practice's settings. ``pain_reading_id``: at which reading the pain was asked.
    """

    prescription_id: UUID
    discharged_on: date
    references: tuple[Reference, ...]
    postures: tuple[PostureReference, ...] = ()
    pain: int | None = None
    pain_reading_id: UUID | None = None
    at_goal: bool
    reason: str = ""
    planned: tuple[PlannedRecheck, ...]
    facility_id: UUID | None = None
    practitioner_id: UUID | None = None
    zone: str
    intervals: tuple[int, ...]
    then_every: int
    lead_days: int
    policy_revision: int


@event("recheck.put_on_call_list")
class RecheckPutOnCallList(Event, frozen=True, kw_only=True):
    """A coming re-check was put on the front desk's call list; the client was written to or not."""

    recheck_id: UUID
    prescription_id: UUID
    channel: ReminderChannel
    due_on: date
    occasion: str = "coming_due"


@event("recheck.covered_by_session")
class RecheckCoveredBySession(Event, frozen=True, kw_only=True):
    """A session near the due date will carry the re-check: nobody is called.

    ``next_review_at``: when to look whether it did.
    """

    recheck_id: UUID
    prescription_id: UUID
    session_id: UUID
    next_review_at: datetime


@event("recheck.maintained")
class RecheckMaintained(Event, frozen=True, kw_only=True):
    """The range at the re-check stood within measurement error of the discharge reading.

    ``planned_next``: the following year's re-check, where the fixed intervals have run out.
    """

    recheck_id: UUID
    prescription_id: UUID
    evaluations: tuple[ReadingEvaluation, ...]
    postures: tuple[PostureEvaluation, ...] = ()
    pain: PainEvaluation | None = None
    planned_next: PlannedRecheck | None = None


@event("recheck.regressed")
class RecheckRegressed(Event, frozen=True, kw_only=True):
    """Range was lost beyond measurement error against the discharge reading.

    ``refer``: a loss without explanation with new pain or swelling.
    """

    recheck_id: UUID
    prescription_id: UUID
    evaluations: tuple[ReadingEvaluation, ...]
    postures: tuple[PostureEvaluation, ...] = ()
    pain: PainEvaluation | None = None
    refer: bool = False


def measured_at(event: RecheckMaintained | RecheckRegressed) -> frozenset[UUID]:
    """Ids of the readings and posture findings that decided a re-check."""
    used = {one.reading_id for one in event.evaluations}
    used |= {one.finding_id for one in event.postures}
    return frozenset(used | ({event.pain.reading_id} if event.pain else set()))


@event("recheck.skipped")
class RecheckSkipped(Event, frozen=True, kw_only=True):
    """A re-check that will not be done, with the reason; ``planned_next`` as when held.

    ``passed_with``: the late re-check by whose reading its interval had passed.
    """

    recheck_id: UUID
    prescription_id: UUID
    reason: str
    passed: bool = False
    passed_with: UUID | None = None
    planned_next: PlannedRecheck | None = None


@event("recheck.reopened")
class RecheckReopened(Event, frozen=True, kw_only=True):
    """What a reading or posture finding entered in error had decided is taken back.

    ``reopened`` wait again; ``withdrawn`` were planned by what is taken back and fall away.
    ``discharge_stands_again``: the stretch had been resumed by it, and is discharged as before;
    ``active_since`` is then what it was before that.
    """

    prescription_id: UUID
    measurement_id: UUID
    reason: str
    reopened: tuple[PlannedRecheck, ...]
    withdrawn: tuple[UUID, ...] = ()
    discharge_stands_again: bool = False
    active_since: datetime | None = None


@event("stretch.resumed")
class StretchResumed(Event, frozen=True, kw_only=True):
    """A discharged stretch is prescribed again; ``cancelled`` re-checks fall away."""

    prescription_id: UUID
    by: ResumedBy
    recheck_id: UUID | None = None
    reason: str = ""
    cancelled: tuple[UUID, ...] = ()


@event("stretch.ended")
class StretchEnded(Event, frozen=True, kw_only=True):
    """A stretch is ended for good; ``cancelled`` re-checks fall away."""

    prescription_id: UUID
    reason: str
    cancelled: tuple[UUID, ...] = ()
