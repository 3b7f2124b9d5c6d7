"""What each line of a note was permitted to be, at its minute and after a stop. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from uuid import UUID

from clients.permissions.domain.results import SessionPermissions as Verdicts
from clients.permissions.domain.results import narrower
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side
from sessions.calendar.domain.session_state import SessionState, SessionStop
from sessions.notes.domain.events import NoteLine
from sessions.notes.domain.outside import LinePermission, after_stop

UNKNOWN_STRETCH = Reason(
    code="stretch_unknown",
    text="The practice's catalogue has no such stretch with this technique.",
    source="practice policy: what is not in the catalogue has no permission",
)

PermissionsAt = Callable[[datetime, SessionStop | None], Verdicts]
"""The verdicts as of an instant, for what came after a stop; None: before any."""


def permitted(
    session: SessionState,
    lines: Sequence[NoteLine],
    started_at: datetime,
    ended_at: datetime,
    permissions_at: PermissionsAt,
) -> dict[UUID, LinePermission]:
    """The permission of every line. A line without a minute is evaluated as of the end."""
    found: dict[UUID, LinePermission] = {}
    for line in lines:
        at = ended_at
        if line.minute is not None:
            at = min(started_at + timedelta(minutes=line.minute), ended_at)
        stop = _stop_before(line, tuple(lines), session)
        found[line.line_id] = line_permission(line, permissions_at(at, stop))
    return found


def _stop_before(
    line: NoteLine, lines: tuple[NoteLine, ...], session: SessionState
) -> SessionStop | None:
    """The last stop that a line was done after: touch may stop first and the session later."""
    found = [stop for stop in session.stops if after_stop(line, lines, stop)]
    return found[-1] if found else None


def line_permission(line: NoteLine, session_permissions: Verdicts) -> LinePermission:
    """One line's permission: both sides at once take the worse of the two."""
    sides = [line.side] if line.side is not Side.BOTH else [Side.BOTH, Side.LEFT, Side.RIGHT]
    found = [
        one
        for side in sides
        if (one := session_permissions.stretch_permission(line.stretch, line.technique, side))
        is not None
    ]
    if not found and line.side is not Side.BOTH:
        both = session_permissions.stretch_permission(line.stretch, line.technique, Side.BOTH)
        found = [both] if both else []
    if not found:
        return LinePermission(
            _unknown_mode(session_permissions), (UNKNOWN_STRETCH, *session_permissions.reasons)
        )
    mode = Mode.HANDS_ON
    reasons: list[Reason] = []
    for stretch_permission in found:
        mode = narrower(mode, stretch_permission.mode)
        reasons.extend(reason for reason in stretch_permission.reasons if reason not in reasons)
    return LinePermission(mode, tuple(reasons))


def _unknown_mode(session_permissions: Verdicts) -> Mode:
    """Unknown work is never hands-on, and never more than the session itself."""
    return narrower(Mode.SELF_DIRECTED, session_permissions.mode)
