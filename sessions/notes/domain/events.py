"""What a session's note leaves on the client's stream."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Any
from uuid import UUID

import msgspec

from practice.core.events import Event, event, upcaster
from practice.core.reasons import Reason
from practice.core.terms import Credential, Mode, SessionPart, Side, Technique
from sessions.calendar.domain.terms import PermissionsSnapshot
from sessions.notes.domain.terms import BroughtFrom, CardioWork, PartSpan, StrengthWork


class TimeSource(StrEnum):
    """Where the start or the end of a session is known from."""

    PRACTITIONER = "practitioner"
    OPENING = "opening"
    ARRIVAL = "arrival"
    BOOKING = "booking"


class SessionTimes(msgspec.Struct, frozen=True, kw_only=True):
    """Start and end of a session and where each is known from."""

    started_at: datetime
    started_from: TimeSource
    ended_at: datetime
    ended_from: TimeSource

    @property
    def minutes(self) -> int:
        """Whole minutes between start and end."""
        return (self.ended_at - self.started_at) // timedelta(minutes=1)


class NoteLine(msgspec.Struct, frozen=True, kw_only=True):
    """One thing done: a stretch, how, on which side and what the client said.

    ``minute`` counts from the start of the session; ``position`` orders lines without
    one; ``hold_seconds`` is per repetition; pain 0-10. ``brought_from``: it stands as it was
    brought from there, untouched.
    """

    line_id: UUID
    stretch: str
    technique: Technique
    side: Side
    mode: Mode
    repetitions: int | None = None
    hold_seconds: int | None = None
    minute: int | None = None
    position: int | None = None
    response: str = ""
    pain_before: int | None = None
    pain_after: int | None = None
    brought_from: BroughtFrom | None = None


class ExplainedLineOutside(msgspec.Struct, frozen=True, kw_only=True):
    """A line that was done outside its permission, kept with the reasons and the explanation."""

    line_id: UUID
    allowed: Mode
    reasons: tuple[Reason, ...]
    explanation: str


class NotePartMinutes(msgspec.Struct, frozen=True, kw_only=True):
    """Whole minutes of one part of the session."""

    part: SessionPart
    minutes: int


class NoteCount(msgspec.Struct, frozen=True, kw_only=True):
    """What of a note is counted: minutes by part, what is not billed, when it took place."""

    minutes: tuple[NotePartMinutes, ...]
    not_counted_minutes: int
    times: SessionTimes

    @property
    def attended_minutes(self) -> int:
        """The parts and what is not counted."""
        return sum(one.minutes for one in self.minutes) + self.not_counted_minutes


@event("note.signed", version=2)
class NoteSigned(Event, frozen=True, kw_only=True):
    """A note was signed; from here on it never changes.

    ``attended_minutes`` = the parts + ``not_counted_minutes`` (rest, dressing, talk).
    ``local_date`` is the day the session started on in the facility's zone.
    ``started_from`` and ``ended_from`` say where start and end are known from. ``permissions``
    are the session's as of its end, ``evaluated_with`` their versions. ``supervisor_id``
    supervised the practitioner that day by ``supervision_id``. ``warnings``: what was warned of.
    ``spans``: from when to when each part lay, where that was taken down. ``re_enters``: the note
    entered in error, of whatever session, whose place it takes.
    """

    note_id: UUID
    session_id: UUID
    practitioner_id: UUID
    credential: Credential
    facility_id: UUID
    started_at: datetime
    started_from: TimeSource = TimeSource.BOOKING
    ended_at: datetime
    ended_from: TimeSource = TimeSource.BOOKING
    booked_minutes: int
    zone: str
    local_date: date
    subjective: str
    objective: str
    assessment: str
    plan: str
    minutes: tuple[NotePartMinutes, ...]
    not_counted_minutes: int
    attended_minutes: int
    lines: tuple[NoteLine, ...] = ()
    outside: tuple[ExplainedLineOutside, ...] = ()
    split_reason: str = ""
    draft_revision: int = 0
    evaluated_with: dict[str, int] = msgspec.field(default_factory=dict)
    permissions: PermissionsSnapshot | None = None
    supervisor_id: UUID | None = None
    supervision_id: UUID | None = None
    warnings: tuple[Reason, ...] = ()
    cardio: tuple[CardioWork, ...] = ()
    strength: tuple[StrengthWork, ...] = ()
    spans: tuple[PartSpan, ...] = ()
    re_enters: UUID | None = None

    @property
    def count(self) -> NoteCount:
        """What is counted, as signed."""
        return NoteCount(
            minutes=self.minutes,
            not_counted_minutes=self.not_counted_minutes,
            times=SessionTimes(
                started_at=self.started_at,
                started_from=self.started_from,
                ended_at=self.ended_at,
                ended_from=self.ended_from,
            ),
        )


class LateWords(msgspec.Struct, frozen=True, kw_only=True):
    """What a device saved after the signature and its author sent with an addendum.

    ``texts`` by their field, empty where it was emptied; ``lines``, ``cardio`` and
    ``strength`` new or changed; ``removed_lines`` of any of them; ``outside``: those of the
    lines outside their permission, explained.
    """

    texts: dict[str, str] = msgspec.field(default_factory=dict)
    lines: tuple[NoteLine, ...] = ()
    removed_lines: tuple[UUID, ...] = ()
    explanations: dict[UUID, str] = msgspec.field(default_factory=dict)
    outside: tuple[ExplainedLineOutside, ...] = ()
    cardio: tuple[CardioWork, ...] = ()
    strength: tuple[StrengthWork, ...] = ()


@event("note.addendum_added", version=2)
class AddendumAdded(Event, frozen=True, kw_only=True):
    """A later word on a signed note.

    ``corrected_minutes``: every part as it stands after a correction, None where no part
    was corrected; ``before`` and ``after``: all that is counted, where any of it was.
    ``late``: words that came in after the signature and are sent with it.
    """

    addendum_id: UUID
    note_id: UUID
    session_id: UUID
    practitioner_id: UUID
    text: str
    corrected_minutes: tuple[NotePartMinutes, ...] | None = None
    before: NoteCount | None = None
    after: NoteCount | None = None
    late: LateWords | None = None


@upcaster("note.signed", from_version=1)
@upcaster("note.addendum_added", from_version=1)
def _of_stretches_alone(payload: dict[str, Any]) -> dict[str, Any]:
    """Version 1 knew no cardio, strength, starts and stops, and no lines that were brought."""
    return payload


@event("note.unsent_discarded")
class UnsentWordsDiscarded(Event, frozen=True, kw_only=True):
    """Words that came in after the signature were discarded by their author, with the reason.

    ``fields``: how many fields of the note they were; what they said is not kept.
    """

    note_id: UUID
    session_id: UUID
    practitioner_id: UUID
    fields: int
    reason: str


class LineOutside(msgspec.Struct, frozen=True, kw_only=True):
    """A line that was outside as it was, though within as known when it was signed."""

    line_id: UUID
    allowed: Mode
    reasons: tuple[Reason, ...]


@event("note.entered_in_error", version=2)
class NoteEnteredInError(Event, frozen=True, kw_only=True):
    """A signed note was entered in error and says nothing any more: with its session, or alone,
    where ``session_stands``."""

    note_id: UUID
    session_id: UUID
    reason: str
    session_stands: bool = False


@upcaster("note.entered_in_error", from_version=1)
def _with_its_session(payload: dict[str, Any]) -> dict[str, Any]:
    """In version 1 a note was entered in error with its session alone."""
    return payload


@event("note.draft_discarded")
class DraftDiscarded(Event, frozen=True, kw_only=True):
    """The draft of a session that has no note, of one called off for example, was discarded by
    its author. ``fields``: how many fields it had; what they said is not kept.
    """

    session_id: UUID
    practitioner_id: UUID
    fields: int
    reason: str


@event("note.marked_outside")
class NoteMarkedOutside(Event, frozen=True, kw_only=True):
    """A fact recorded later shows lines of a signed note outside their permission.

    No explanation is asked for; it stands on the owner's list. ``cause`` is the
    stable name of the event that brought the fact.
    """

    note_id: UUID
    session_id: UUID
    lines: tuple[LineOutside, ...]
    cause: str
