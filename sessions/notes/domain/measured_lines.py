"""What was measured while a draft was written, and what came of each of it. Pure."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from enum import StrEnum
from typing import Any
from uuid import UUID

import msgspec

from practice.core.reasons import Rejected
from sessions.notes.domain.device_saves import mark_of
from sessions.notes.domain.drafts import Draft
from sessions.notes.domain.findings import DraftFinding
from sessions.notes.domain.measured_fields import (
    MEASURED_PREFIXES,
    MeasuredLine,
    is_measured,
    record_id,
)


class LineState(StrEnum):
    """What a measured line of a draft is."""

    TAKEN = "taken"
    NOT_TAKEN = "not_taken"
    CHANGED = "changed"
    COLLIDES = "collides"
    IN_ERROR = "in_error"


CHANGED = (
    "It was taken as it read before, and that stands. Enter that in error by its own address and"
    " send the right one under an id of its own."
)
COLLIDES = "Two devices sent different values: choose one, save, then it is taken."
WAITS = "It is taken with the next save."


class LineShown(msgspec.Struct, frozen=True, kw_only=True):
    """A measured line of a draft: ``field`` as ``readings.<id>``, ``id`` of its record where it
    has one, why it is not taken, and what was sent where that is nowhere else."""

    field: str
    state: LineState
    id: UUID | None = None
    code: str = ""
    text: str = ""
    fields: dict[str, str] = msgspec.field(default_factory=dict)
    sent: Any = None


def lines_shown(draft: Draft, session_id: UUID, counting: Collection[UUID]) -> list[LineShown]:
    """The measured lines of a draft; ``counting``: the ids of the records that count."""
    return [
        shown
        for name in sorted(draft.fields)
        if is_measured(name)
        and (shown := _shown(draft, name, record_id(session_id, name), counting)) is not None
    ]


def _shown(draft: Draft, name: str, record: UUID, counting: Collection[UUID]) -> LineShown | None:
    values, line, field = draft.fields[name].values, draft.measured.get(name), as_sent(name)
    value = values[0] if values else None
    if line is not None and line.taken:
        if record not in counting:
            return LineShown(field=field, state=LineState.IN_ERROR, id=record)
        if len(values) < 2 and mark_of(value) == line.mark:
            return LineShown(field=field, state=LineState.TAKEN, id=record)
        return LineShown(
            field=field,
            state=LineState.CHANGED,
            id=record,
            code="changed_since",
            text=CHANGED,
            sent=value,
        )
    if len(values) > 1:
        return LineShown(
            field=field, state=LineState.COLLIDES, code="collides", text=COLLIDES, sent=value
        )
    if value is None:
        return None
    if line is None or line.mark != mark_of(value):
        line = MeasuredLine(mark_of(value), code="waits", text=WAITS)
    return LineShown(
        field=field,
        state=LineState.NOT_TAKEN,
        code=line.code,
        text=line.text,
        fields=line.fields,
        sent=value,
    )


def as_sent(name: str) -> str:
    """A field as devices name it: ``readings.<id>``."""
    kind, _, line_id = name.partition(".")
    return next(
        f"{many}.{line_id}" for many, prefix in MEASURED_PREFIXES.items() if prefix == f"{kind}."
    )


def to_take(draft: Draft, first: Collection[str] = ()) -> list[tuple[str, Any]]:
    """What is to be recorded now, by field: those of this save in its order, then the others."""
    names = [*(one for one in first if is_measured(one)), *sorted(draft.fields)]
    return [
        (name, draft.fields[name].value)
        for name in dict.fromkeys(names)
        if is_measured(name)
        and len(draft.fields[name].values) == 1
        and draft.fields[name].value is not None
        and not (name in draft.measured and draft.measured[name].taken)
    ]


def without_taken(content: Mapping[str, Any], draft: Draft) -> dict[str, Any]:
    """The fields of a draft but those of what was taken: these are records, no unsent words."""
    return {
        name: value
        for name, value in content.items()
        if not ((line := draft.measured.get(name)) and line.taken and line.mark == mark_of(value))
    }


def not_taken(draft: Draft) -> list[DraftFinding]:
    """What was measured and is no record yet: a signature would leave it behind."""
    content = draft.content()
    return [
        DraftFinding(field=as_sent(name), code="not_taken", text=_why(draft, name, value))
        for name, value in without_taken(content, draft).items()
        if is_measured(name)
    ]


def _why(draft: Draft, name: str, value: Any) -> str:
    line = draft.measured.get(name)
    if line is not None and line.taken:
        return CHANGED
    told = line.text if line is not None and line.mark == mark_of(value) else WAITS
    return f"Not taken: {told}"


def check_all_taken(draft: Draft) -> None:
    """Refuse to sign (409) while something that was measured is no record: it would be lost."""
    found = not_taken(draft)
    if found:
        raise Rejected(
            "measurements_not_taken",
            "Something that was measured is not taken yet. Set it right or take it out by a save,"
            " then sign.",
            extra={"not_taken": [{"field": one.field, "text": one.text} for one in found]},
        )


def in_words(name: str, value: Mapping[str, Any]) -> str:
    """A line that was not taken, as its device had sent it: what an addendum says of it."""
    said = ", ".join(f"{key} {one}" for key, one in value.items() if key != "line_id")
    return f"{name.partition('.')[0]}, not recorded: {said}"
