"""Re-evaluating sessions when a fact changed: what is flagged, what is marked. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from practice.core.decisions import Decided
from sessions.assessment.domain.assessment import Assessment
from sessions.booking.domain.attendance import flag_if_narrowed
from sessions.calendar.domain.modes import is_wider
from sessions.calendar.domain.state import SessionState
from sessions.notes.domain.events import LineOutside, NoteMarkedOutside
from sessions.notes.domain.outside import LinePermission
from sessions.notes.domain.state import SignedNote


@dataclass(frozen=True)
class BookedReevaluation:
    """A booked session of the future with everything it is evaluated by now."""

    session: SessionState
    case: Assessment


def reevaluation_flags(found: Sequence[BookedReevaluation], cause: str) -> Decided:
    """A flag for each session that is narrower now than it was planned."""
    return [
        flag
        for one in found
        for flag in flag_if_narrowed(
            one.session, one.case.snapshot(one.case.planned(), provisional=True), cause
        )
    ]


@dataclass(frozen=True)
class NoteReevaluation:
    """A signed note that a late fact reaches back to, and what its lines may have been.

    ``before``: the same without the fact; only what the fact narrowed is marked.
    """

    note: SignedNote
    permitted: Mapping[UUID, LinePermission]
    before: Mapping[UUID, LinePermission]


def outside_permission_marks(found: Sequence[NoteReevaluation], cause: str) -> Decided:
    """A mark for each note with lines outside as it was, not explained or marked before."""
    made: list[NoteMarkedOutside] = []
    for one in found:
        known = one.note.explained | one.note.marked
        lines = tuple(
            LineOutside(
                line_id=line.line_id,
                allowed=one.permitted[line.line_id].mode,
                reasons=one.permitted[line.line_id].reasons,
            )
            for line in one.note.lines
            if line.line_id not in known
            and is_wider(line.mode, one.permitted[line.line_id].mode)
            and not is_wider(line.mode, one.before[line.line_id].mode)
        )
        if lines:
            made.append(
                NoteMarkedOutside(
                    note_id=one.note.note_id,
                    session_id=one.note.session_id,
                    lines=lines,
                    cause=cause,
                )
            )
    return made
