"""Judging sessions again when a fact changed: what is flagged, what is marked. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from practice.domain.decisions import Decided
from sessions.domain.calendar.attendance import narrowed
from sessions.domain.calendar.modes import wider
from sessions.domain.calendar.state import Booked
from sessions.domain.judging.answers import Case
from sessions.domain.notes.events import LineOutside, NoteOutside
from sessions.domain.notes.signing import Permitted
from sessions.domain.notes.state import SignedNote


@dataclass(frozen=True)
class Again:
    """A booked session of the future with everything it is judged by now."""

    session: Booked
    case: Case


def flags(found: Sequence[Again], because: str) -> Decided:
    """A flag for each session that is narrower now than it was planned."""
    return [
        flag
        for one in found
        for flag in narrowed(
            one.session, one.case.kept(one.case.planned(), provisional=True), because
        )
    ]


@dataclass(frozen=True)
class Revisited:
    """A signed note that a late fact reaches back to, and what its lines may have been.

    ``before``: the same without the fact; only what the fact narrowed is marked.
    """

    note: SignedNote
    permitted: Mapping[UUID, Permitted]
    before: Mapping[UUID, Permitted]


def marks(found: Sequence[Revisited], because: str) -> Decided:
    """A mark for each note with lines outside as it was, not explained or marked before."""
    made: list[NoteOutside] = []
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
            and wider(line.mode, one.permitted[line.line_id].mode)
            and not wider(line.mode, one.before[line.line_id].mode)
        )
        if lines:
            made.append(
                NoteOutside(
                    note_id=one.note.note_id,
                    session_id=one.note.session_id,
                    lines=lines,
                    because=because,
                )
            )
    return made
