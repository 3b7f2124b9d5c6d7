"""Lines of a note outside their permission: after a stop, unexplained, explained. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from clients.health.domain.wording import words_text
from practice.core.reasons import Reason, Rejected
from practice.core.terms import Mode
from sessions.calendar.domain.modes import is_wider
from sessions.calendar.domain.session_state import SessionStop
from sessions.notes.domain.events import ExplainedLineOutside, NoteLine


@dataclass(frozen=True, slots=True)
class LinePermission:
    """The most that one line was allowed to be at its minute, and why no more."""

    mode: Mode
    reasons: tuple[Reason, ...] = ()


def after_stop(line: NoteLine, lines: tuple[NoteLine, ...], stop: SessionStop | None) -> bool:
    """Whether a line was done after a stop. Without minute and place it counts as after.

    Lines up to the last one that the stop names are before it, whatever minute they bear.
    """
    if stop is None:
        return False
    ids = [one.line_id for one in lines]
    if stop.last_line_id in ids and ids.index(line.line_id) <= ids.index(stop.last_line_id):
        return False
    return line.minute is None or line.minute >= stop.minute


def lines_outside(
    lines: Sequence[NoteLine], permitted: Mapping[UUID, LinePermission]
) -> list[NoteLine]:
    """The lines that were done wider than they were permitted."""
    return [line for line in lines if is_wider(line.mode, permitted[line.line_id].mode)]


def explained_lines_outside(
    lines: Sequence[NoteLine],
    explanations: Mapping[UUID, str],
    permitted: Mapping[UUID, LinePermission],
) -> tuple[ExplainedLineOutside, ...]:
    """The lines outside their permission with their explanations; 400 where one lacks."""
    beyond = lines_outside(lines, permitted)
    silent = [one for one in beyond if not explanations.get(one.line_id, "").strip()]
    if silent:
        raise Rejected(
            "explanation_needed",
            "Some of what was done is outside what was permitted. It is kept; say why it was done.",
            status=400,
            fields={
                f"explanations.{one.line_id}": "Explain:"
                f" {words_text((one.stretch, one.technique, one.side, one.mode))}."
                for one in silent
            },
            reasons=_all_reasons(silent, permitted),
            extra={
                "lines": [
                    {
                        "line_id": str(one.line_id),
                        "stretch": one.stretch,
                        "allowed": permitted[one.line_id].mode.value,
                        "reasons": [reason.code for reason in permitted[one.line_id].reasons],
                    }
                    for one in silent
                ]
            },
        )
    return tuple(
        ExplainedLineOutside(
            line_id=line.line_id,
            allowed=permitted[line.line_id].mode,
            reasons=permitted[line.line_id].reasons,
            explanation=explanations[line.line_id].strip(),
        )
        for line in beyond
    )


def _all_reasons(lines: list[NoteLine], permitted: Mapping[UUID, LinePermission]) -> list[Reason]:
    found: list[Reason] = []
    for line in lines:
        found.extend(r for r in permitted[line.line_id].reasons if r not in found)
    return found
