"""What each line of a note was permitted to be, at its minute and after a stop. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from uuid import UUID

from clients.domain.permissions.outputs import Judgement as Verdicts
from practice.domain.reasons import Reason
from practice.domain.terms import Mode, Side
from sessions.domain.calendar.modes import narrower
from sessions.domain.calendar.state import Booked
from sessions.domain.notes.events import Line
from sessions.domain.notes.signing import Permitted, after_stop

UNKNOWN = Reason(
    code="stretch_unknown",
    text="The practice's catalogue has no such stretch with this technique.",
    source="practice policy: what is not in the catalogue has no permission",
)

VerdictsAt = Callable[[datetime, bool], Verdicts]
"""The verdicts as of an instant, for what came before (False) or after (True) the stop."""


def permitted(
    session: Booked,
    lines: Sequence[Line],
    started_at: datetime,
    ended_at: datetime,
    verdicts_at: VerdictsAt,
) -> dict[UUID, Permitted]:
    """The permission of every line. A line without a minute is judged as of the end."""
    found: dict[UUID, Permitted] = {}
    for line in lines:
        at = ended_at
        if line.minute is not None:
            at = min(started_at + timedelta(minutes=line.minute), ended_at)
        stopped = after_stop(line, tuple(lines), session.stop)
        found[line.line_id] = of_line(line, verdicts_at(at, stopped))
    return found


def of_line(line: Line, verdicts: Verdicts) -> Permitted:
    """One line's permission: both sides at once take the worse of the two."""
    sides = [line.side] if line.side is not Side.BOTH else [Side.BOTH, Side.LEFT, Side.RIGHT]
    found = [
        one
        for side in sides
        if (one := verdicts.verdict(line.stretch, line.technique, side)) is not None
    ]
    if not found and line.side is not Side.BOTH:
        both = verdicts.verdict(line.stretch, line.technique, Side.BOTH)
        found = [both] if both else []
    if not found:
        return Permitted(_unknown_mode(verdicts), (UNKNOWN, *verdicts.reasons))
    mode = Mode.HANDS_ON
    reasons: list[Reason] = []
    for verdict in found:
        mode = narrower(mode, verdict.mode)
        reasons.extend(reason for reason in verdict.reasons if reason not in reasons)
    return Permitted(mode, tuple(reasons))


def _unknown_mode(verdicts: Verdicts) -> Mode:
    """Unknown work is never hands-on, and never more than the session itself."""
    return narrower(Mode.SELF_DIRECTED, verdicts.mode)
