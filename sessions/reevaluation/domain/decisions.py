"""Re-evaluating sessions when a fact changed: what is flagged, what is marked. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from uuid import UUID

from clients.permissions.domain.results import SessionPermissions
from practice.core.decisions import Decided
from practice.core.events import DatedEvent, Event
from sessions.assessment.domain.assessment import Assessment
from sessions.booking.domain.attendance import flag_if_narrowed
from sessions.calendar.domain.events import (
    SessionDayFlagEnded,
    SessionFlagEnded,
    SessionFlagged,
)
from sessions.calendar.domain.modes import is_wider
from sessions.calendar.domain.place_flags import away, place_codes
from sessions.calendar.domain.session_state import (
    SessionFlag,
    SessionState,
    SessionStatus,
    planned_extent,
)
from sessions.notes.domain.events import LineOutside, NoteMarkedOutside
from sessions.notes.domain.outside import LinePermission
from sessions.notes.domain.state import SignedNote


@dataclass(frozen=True)
class BookedReevaluation:
    """A booked session of the future with everything it is evaluated by now."""

    session: SessionState
    case: Assessment

    @cached_property
    def planned(self) -> SessionPermissions:
        """What it may be if the day brings nothing new: judged once, however often it is told."""
        return self.case.planned()


def reevaluation_flags(found: Sequence[BookedReevaluation], cause: str) -> Decided:
    """A flag for each session of which anything is narrower now than it was planned.

    What the day's answers narrow is not theirs to say: it may be corrected.
    """
    return [
        flag
        for one in found
        for flag in flag_if_narrowed(
            one.session, one.case.snapshot(one.planned, provisional=True), cause
        )
    ]


def settled_flags(
    found: Sequence[BookedReevaluation], cause: str, of_day: Sequence[BookedReevaluation] = ()
) -> Decided:
    """The same where facts of the practice changed: a flag that tells of place or practitioner
    ends once that is not so any more, and what stood before it stands again.

    ``of_day``: the same sessions as the day's answers leave them; a flag of theirs stands, and
    tells no longer of the place.
    """
    today = {one.session.id: one.case for one in of_day}
    made: list[Event | DatedEvent] = []
    for one in found:
        if not _put_back(one):
            made += reevaluation_flags([one], cause)
            continue
        moved = away(one.session)
        extent = planned_extent(one.session)
        made.append(SessionFlagEnded(session_id=moved.id, mode=moved.planned_mode, extent=extent))
        again = reevaluation_flags([BookedReevaluation(moved, one.case)], cause)
        made += again or ([] if moved.flag is None else [_stands_again(moved, moved.flag)])
        if moved.day_flag is not None and moved.id in today:
            made += day_flags([BookedReevaluation(moved, today[moved.id])], cause)
    return made


def _put_back(one: BookedReevaluation) -> bool:
    """Whether a flag tells of place or practitioner what is not so any more. While the client is
    there nothing turns wider."""
    session = one.session
    if session.flag is None or session.status is not SessionStatus.BOOKED:
        return False
    return bool(place_codes(session.flag.reasons) - place_codes(one.planned.reasons))


def _stands_again(session: SessionState, flag: SessionFlag) -> SessionFlagged:
    return SessionFlagged(
        session_id=session.id,
        was=session.planned_mode,
        now=flag.now,
        reasons=flag.reasons,
        cause=flag.cause,
        extent=flag.extent,
        narrowed=flag.narrowed,
    )


def day_flags(found: Sequence[BookedReevaluation], cause: str) -> Decided:
    """A flag for each session that answers on arrival narrow, and an end of those that they
    narrow no more. Questions that are open narrow nothing yet."""
    made: list[Event] = []
    for one in found:
        fresh = replace(one.session, day_flag=None)
        snapshot = one.case.snapshot(one.case.evaluated())
        flags = flag_if_narrowed(fresh, snapshot, cause, of_day=True)
        if not flags and one.session.day_flag is not None:
            made.append(SessionDayFlagEnded(session_id=one.session.id))
        for flag in flags:
            stood = one.session.day_flag
            if stood is None or (stood.now, stood.narrowed) != (flag.now, flag.narrowed):
                made.append(flag)
    return made


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
