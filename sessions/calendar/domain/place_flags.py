"""Flags that tell of a fact of the practice: no session can be held there, or with them. Pure.

Such a fact may be put back (it was a slip), or the session is moved away from it: then nothing
of it stands against the session any more. What else had narrowed it stays until a person plans
it anew.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from clients.permissions.domain.inputs import PLACE_CODES
from practice.core.reasons import Reason
from sessions.calendar.domain.narrowing import Narrowed, narrowed_groups, narrowed_in
from sessions.calendar.domain.session_state import SessionFlag, SessionState


def place_codes(reasons: Iterable[Reason]) -> set[str]:
    """Which facts of the practice some reasons tell of."""
    return {one.code for one in reasons} & PLACE_CODES


def over(stood: SessionFlag | None, flag: SessionFlag) -> SessionFlag:
    """A new flag over the one that stood, with what stands again once it ends.

    What came to a session while nothing could be held there stays with it.
    """
    if not place_codes(flag.reasons):
        return flag
    if stood is None or not place_codes(stood.reasons):
        return replace(flag, before=stood)
    known = {one.code for one in stood.reasons} | PLACE_CODES
    if all(one.code in known for one in flag.reasons):
        return replace(flag, before=stood.before)
    return replace(flag, before=_without_place(flag))


def away(session: SessionState) -> SessionState:
    """The session without what tells of place or practitioner, as for one that is moved."""
    if session.flag is None or not place_codes(session.flag.reasons):
        return session
    return replace(session, flag=session.flag.before)


def _without_place(flag: SessionFlag) -> SessionFlag:
    def left(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
        return tuple(one for one in reasons if one.code not in PLACE_CODES)

    kept = {
        key: Narrowed(one.was, one.now, left(one.reasons))
        for key, one in narrowed_in(flag.narrowed, flag.reasons).items()
        if left(one.reasons)
    }
    narrowed, reasons = narrowed_groups(kept, left(flag.reasons))
    return replace(flag, narrowed=narrowed, reasons=reasons)
