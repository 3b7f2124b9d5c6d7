"""A move that leaves less than was planned is made, and says so: in the answer, kept with the
session, and as a flag, so that the client is called. Pure."""

from __future__ import annotations

from practice.core.reasons import Reason
from practice.core.terms import Mode
from sessions.booking.domain.attendance import flag_if_narrowed, flag_kept
from sessions.calendar.domain.event_texts import MODE_WORDS
from sessions.calendar.domain.events import SessionFlagged
from sessions.calendar.domain.modes import is_wider
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.terms import PermissionsSnapshot

BY_MOVE = "session.moved"
"""The cause of the flag of a session that a move narrowed."""


def narrowed_by_move(
    session: SessionState, mode: Mode, permissions: PermissionsSnapshot, asked: Mode | None
) -> list[Reason]:
    """A warning where a session is less than it was before the move and nobody asked for that,
    with the reasons that stand against more where it is now."""
    if asked is not None or not is_wider(session.mode, mode):
        return []
    text = (
        f"By this move it is {MODE_WORDS[mode]}, where it was {MODE_WORDS[session.mode]}: tell the"
        " client, or choose another practitioner, place or time."
    )
    told = Reason(code="narrowed_by_move", text=text, source="practice policy")
    return [told, *permissions.reasons]


def flags_of_move(
    session: SessionState, mode: Mode, permissions: PermissionsSnapshot, asked: Mode | None
) -> list[SessionFlagged]:
    """The flag of a session that the move narrowed, or the one that stays with it; none where a
    person plans it anew."""
    if asked is not None:
        return []
    if is_wider(session.mode, mode):
        return flag_if_narrowed(session, permissions, BY_MOVE)
    return flag_kept(session, permissions, mode)
