"""Lines of a note that are brought in by one act: from the plan, or from the last note. Pure.

Minutes are never brought, nor pain; a response only where it was said with the act. A text
of a note is never brought at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID, uuid5

import msgspec

from practice.core.terms import Mode, Side, Technique
from sessions.notes.domain.content import LINE_PREFIX, incomplete_lines
from sessions.notes.domain.events import NoteLine
from sessions.notes.domain.terms import BroughtFrom


class PlannedLine(msgspec.Struct, frozen=True, kw_only=True):
    """A technique of a prescribed stretch with its dose and the most it may be today."""

    prescription_id: UUID
    stretch: str
    technique: Technique
    side: Side
    mode: Mode
    repetitions: int | None
    hold_seconds: int | None


def lines_of_plan(
    session_id: UUID, planned: Iterable[PlannedLine], response: str
) -> list[NoteLine]:
    """What is permitted of the plan, as done as planned, in its order.

    The id of a line follows from session, prescription and technique: two devices bring the
    same line.
    """
    return [
        NoteLine(
            line_id=uuid5(session_id, f"{one.prescription_id} {one.technique}"),
            stretch=one.stretch,
            technique=one.technique,
            side=one.side,
            mode=one.mode,
            repetitions=one.repetitions,
            hold_seconds=one.hold_seconds,
            position=position,
            response=response,
            brought_from=BroughtFrom.PLAN,
        )
        for position, one in enumerate(planned, start=1)
        if one.mode is not Mode.NOT_TODAY
    ]


def lines_of_last_note(session_id: UUID, lines: Iterable[NoteLine]) -> list[NoteLine]:
    """What was done last time, each line marked until somebody touches it."""
    return [
        NoteLine(
            line_id=uuid5(session_id, str(one.line_id)),
            stretch=one.stretch,
            technique=one.technique,
            side=one.side,
            mode=one.mode,
            repetitions=one.repetitions,
            hold_seconds=one.hold_seconds,
            position=position,
            brought_from=BroughtFrom.LAST_NOTE,
        )
        for position, one in enumerate(lines, start=1)
    ]


def lines_to_save(lines: Iterable[NoteLine], content: Mapping[str, Any]) -> list[NoteLine]:
    """Those that the draft does not hold yet or not whole, and those of the plan of which no
    response was said until now: what somebody wrote is never overwritten."""
    found = []
    for one in lines:
        name = f"{LINE_PREFIX}{one.line_id}"
        held = content.get(name)
        if held is None:
            found.append(one)
            continue
        if incomplete_lines({name: held}):
            found.append(_completed(one, held))
            continue
        there = msgspec.convert(held, NoteLine)
        asked = there.brought_from is BroughtFrom.PLAN and not there.response.strip()
        if asked and one.response.strip():
            found.append(msgspec.structs.replace(there, response=one.response))
    return found


def _completed(line: NoteLine, said: Any) -> NoteLine:
    """A line with what somebody said of it before it was there."""
    given = {name: one for name, one in said.items() if one is not None}
    return msgspec.convert({**msgspec.to_builtins(line), **given}, NoteLine)
