"""What a draft's fields are called and what each may hold. Pure.

Names: ``subjective``, ``objective``, ``assessment``, ``plan``, ``split_reason``;
``minutes.<part>``, ``not_counted_minutes``, ``attended_minutes``; ``started_at`` and
``ended_at`` where the practitioner sets them, as text with offset; ``line.<uuid>``;
``explanation.<uuid of a line>``.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

import msgspec

from practice.core.reasons import Rejected
from practice.core.terms import SessionPart
from sessions.notes.domain.events import NoteLine, NotePartMinutes

TEXT_FIELDS = ("subjective", "objective", "assessment", "plan", "split_reason")
WHOLE_NUMBER_FIELDS = ("not_counted_minutes", "attended_minutes")
TIME_FIELDS = ("started_at", "ended_at")
LINE_PREFIX = "line."
EXPLANATION_PREFIX = "explanation."
MINUTES_PREFIX = "minutes."
LONGEST_TEXT = 20_000


class NoteContent(msgspec.Struct, frozen=True, kw_only=True):
    """A note as it reads: texts, whole minutes, what was done, explanations by line."""

    subjective: str = ""
    objective: str = ""
    assessment: str = ""
    plan: str = ""
    split_reason: str = ""
    minutes: tuple[NotePartMinutes, ...] = ()
    not_counted_minutes: int = 0
    attended_minutes: int | None = None
    started_at: datetime | None = None
    ended_at: datetime | None = None
    lines: tuple[NoteLine, ...] = ()
    explanations: dict[UUID, str] = msgspec.field(default_factory=dict)


def note_content(fields: Mapping[str, Any]) -> NoteContent:
    """The note that a draft's fields stand for; lines in the order of their minute."""
    minutes = tuple(
        NotePartMinutes(part=part, minutes=fields[MINUTES_PREFIX + part])
        for part in SessionPart
        if fields.get(MINUTES_PREFIX + part) is not None
    )
    lines = [msgspec.convert(v, NoteLine) for k, v in fields.items() if k.startswith(LINE_PREFIX)]
    return NoteContent(
        **{name: fields.get(name, "") for name in TEXT_FIELDS},
        minutes=minutes,
        not_counted_minutes=fields.get("not_counted_minutes", 0),
        attended_minutes=fields.get("attended_minutes"),
        started_at=_instant(fields.get("started_at")),
        ended_at=_instant(fields.get("ended_at")),
        lines=tuple(sorted(lines, key=_order)),
        explanations={
            UUID(k.removeprefix(EXPLANATION_PREFIX)): v
            for k, v in fields.items()
            if k.startswith(EXPLANATION_PREFIX)
        },
    )


def _instant(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)


def _order(line: NoteLine) -> tuple[int, int, str]:
    far = 10**6
    return (
        line.minute if line.minute is not None else far,
        line.position if line.position is not None else far,
        str(line.line_id),
    )


def note_fields(content: Mapping[str, Any]) -> dict[str, Any]:
    """A draft's fields from a note as devices send it.

    ``content`` has the texts, ``minutes`` by part, ``lines`` with their ids,
    ``remove_lines`` and ``explanations`` by line. Raises Rejected 400 with the fields
    that cannot be.
    """
    fields: dict[str, Any] = {
        name: content[name] or None for name in TEXT_FIELDS if name in content
    }
    fields.update({name: content[name] for name in WHOLE_NUMBER_FIELDS if name in content})
    for name in TIME_FIELDS:
        if name in content:
            fields[name] = None if content[name] is None else content[name].isoformat()
    minutes = content.get("minutes") or {}
    fields.update({f"{MINUTES_PREFIX}{part}": number for part, number in minutes.items()})
    explained = content.get("explanations") or {}
    fields.update(
        {f"{EXPLANATION_PREFIX}{line_id}": text or None for line_id, text in explained.items()}
    )
    written = [str(line["line_id"]) for line in content.get("lines") or ()]
    removed = [str(line_id) for line_id in content.get("remove_lines") or ()]
    if len({*written, *removed}) < len(written) + len(removed):
        detail = "Each line once, either written or removed."
        raise Rejected("invalid", detail, status=400, fields={"lines": detail})
    for line in content.get("lines") or ():
        fields[f"{LINE_PREFIX}{line['line_id']}"] = msgspec.to_builtins(line)
    for line_id in removed:
        fields[f"{LINE_PREFIX}{line_id}"] = None
        fields[f"{EXPLANATION_PREFIX}{line_id}"] = None
    return fields


def readable(fields: Mapping[str, Any]) -> dict[str, Any]:
    """A draft's fields as devices read them: the shape that ``note_fields`` takes."""
    content = note_content(fields)
    shown: dict[str, Any] = msgspec.to_builtins(content)
    shown["minutes"] = {one.part.value: one.minutes for one in content.minutes}
    return shown
