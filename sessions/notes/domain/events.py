"""What a session's note leaves on the client's stream."""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID

import msgspec

from practice.core.events import Event, event
from practice.core.reasons import Reason
from practice.core.terms import Credential, Mode, SessionPart, Side, Technique
from sessions.calendar.domain.events import PermissionsSnapshot


class NoteLine(msgspec.Struct, frozen=True, kw_only=True):
    """One thing done: a stretch, how, on which side and what the client said.

    ``minute`` counts from the start of the session; ``position`` orders lines without
    one; ``hold_seconds`` is per repetition; pain 0-10.
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


@event("note.signed")
class NoteSigned(Event, frozen=True, kw_only=True):
    """A note was signed; from here on it never changes.

    ``attended_minutes`` = the parts + ``not_counted_minutes`` (rest, dressing, talk).
    ``local_date`` is the day the session started on in the facility's zone.
    ``permissions`` are the session's as of its end, ``evaluated_with`` their versions.
    """

    note_id: UUID
    session_id: UUID
    practitioner_id: UUID
    credential: Credential
    facility_id: UUID
    started_at: datetime
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


@event("note.addendum_added")
class AddendumAdded(Event, frozen=True, kw_only=True):
    """A later word on a signed note; corrected minutes are structured."""

    addendum_id: UUID
    note_id: UUID
    session_id: UUID
    practitioner_id: UUID
    text: str
    corrected_minutes: tuple[NotePartMinutes, ...] | None = None


class LineOutside(msgspec.Struct, frozen=True, kw_only=True):
    """A line that was outside as it was, though within as known when it was signed."""

    line_id: UUID
    allowed: Mode
    reasons: tuple[Reason, ...]


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
