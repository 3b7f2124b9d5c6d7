"""What a draft's fields are called and what each may hold. Pure.

Names: ``subjective``, ``objective``, ``assessment``, ``plan``, ``split_reason``;
``minutes.<part>``, ``not_counted_minutes``, ``attended_minutes``; ``started_at`` and
``ended_at`` where the practitioner sets them, as text with offset; ``line.<uuid>``,
``cardio.<uuid>``, ``strength.<uuid>``, ``span.<uuid>``; ``explanation.<uuid of a line>``;
``reading.<uuid>`` and ``circumferences.<uuid>``, which are no part of the note itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, TypeVar
from uuid import UUID

import msgspec

from practice.core.reasons import Rejected
from practice.core.terms import SessionPart
from sessions.notes.domain.events import NoteLine, NotePartMinutes
from sessions.notes.domain.measured_fields import MEASURED_PREFIXES
from sessions.notes.domain.terms import CardioWork, PartSpan, StrengthWork
from sessions.notes.domain.work import minutes_of_spans

TEXT_FIELDS = ("subjective", "objective", "assessment", "plan", "split_reason")
NOT_COUNTED = "not_counted_minutes"
WHOLE_NUMBER_FIELDS = (NOT_COUNTED, "attended_minutes")
TIME_FIELDS = ("started_at", "ended_at")
LINE_PREFIX = "line."
EXPLANATION_PREFIX = "explanation."
MINUTES_PREFIX = "minutes."
CARDIO_PREFIX, STRENGTH_PREFIX, SPAN_PREFIX = "cardio.", "strength.", "span."
LINE_PREFIXES = {
    "lines": LINE_PREFIX,
    "cardio": CARDIO_PREFIX,
    "strength": STRENGTH_PREFIX,
    "spans": SPAN_PREFIX,
}
"""What has lines with ids, as devices name it, and how their fields begin."""
LONGEST_TEXT = 20_000


class NoteContent(msgspec.Struct, frozen=True, kw_only=True):
    """A note as it reads: texts, whole minutes, what was done, explanations by line.

    ``minutes`` as entered, else from start and stop.
    """

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
    cardio: tuple[CardioWork, ...] = ()
    strength: tuple[StrengthWork, ...] = ()
    spans: tuple[PartSpan, ...] = ()
    explanations: dict[UUID, str] = msgspec.field(default_factory=dict)


def note_content(fields: Mapping[str, Any]) -> NoteContent:
    """The note that a draft's fields stand for; lines in the order of their minute."""
    spans = _lines(fields, SPAN_PREFIX, PartSpan)
    minutes = {part.value: number for part, number in minutes_of_spans(spans).items()}
    minutes |= {
        name.removeprefix(MINUTES_PREFIX): number
        for name, number in fields.items()
        if name.startswith(MINUTES_PREFIX) and number is not None
    }
    lines = _lines(fields, LINE_PREFIX, NoteLine)
    return NoteContent(
        **{name: fields.get(name, "") for name in TEXT_FIELDS},
        minutes=tuple(
            NotePartMinutes(part=part, minutes=minutes[part])
            for part in SessionPart
            if part in minutes
        ),
        not_counted_minutes=fields.get("not_counted_minutes", 0),
        attended_minutes=fields.get("attended_minutes"),
        started_at=_instant(fields.get("started_at")),
        ended_at=_instant(fields.get("ended_at")),
        lines=tuple(sorted(lines, key=_order)),
        cardio=tuple(_lines(fields, CARDIO_PREFIX, CardioWork)),
        strength=tuple(_lines(fields, STRENGTH_PREFIX, StrengthWork)),
        spans=tuple(sorted(spans, key=lambda one: (one.started_at, one.line_id))),
        explanations={
            UUID(k.removeprefix(EXPLANATION_PREFIX)): v
            for k, v in fields.items()
            if k.startswith(EXPLANATION_PREFIX)
        },
    )


KINDS: dict[str, type[msgspec.Struct]] = {
    LINE_PREFIX: NoteLine,
    CARDIO_PREFIX: CardioWork,
    STRENGTH_PREFIX: StrengthWork,
    SPAN_PREFIX: PartSpan,
}
"""What the fields of each kind of line are read as."""
NEEDED = {
    kind: tuple(one.name for one in msgspec.structs.fields(kind) if one.required)
    for kind in KINDS.values()
}
"""What a line of each kind cannot be without."""


def incomplete_lines(fields: Mapping[str, Any]) -> dict[str, str]:
    """Lines that lack what each of their kind needs, as ``lines.<id>``, with what is missing and
    what there is. Their first save may be under way still; until then they are no line."""
    many = {prefix: name for name, prefix in LINE_PREFIXES.items()}
    found = {}
    for name, value in sorted(fields.items()):
        prefix = name[: name.find(".") + 1]
        missing = _missing(value, KINDS[prefix]) if prefix in KINDS and value is not None else []
        if missing:
            has = ", ".join(f"{key} {one}" for key, one in value.items() if key != "line_id")
            todo = f"It lacks {', '.join(missing)}: send that under its id, or take it out."
            field = f"{many[prefix]}.{name.removeprefix(prefix)}"
            found[field] = f"{todo} It has: {has or 'nothing'}."
    return found


def check_lines_complete(fields: Mapping[str, Any]) -> None:
    """Refuse (409) what would leave an incomplete line behind."""
    found = incomplete_lines(fields)
    if found:
        raise Rejected(
            "incomplete_lines",
            "Some lines lack what each needs: complete them or take them out by a save first.",
            extra={"incomplete": [{"field": name, "text": one} for name, one in found.items()]},
        )


def _missing(value: Mapping[str, Any], kind: type[msgspec.Struct]) -> list[str]:
    return [name for name in NEEDED[kind] if value.get(name) is None]


Line = TypeVar("Line", NoteLine, CardioWork, StrengthWork, PartSpan)


def _lines(fields: Mapping[str, Any], prefix: str, kind: type[Line]) -> list[Line]:
    """The complete lines of one kind, by id."""
    return [
        msgspec.convert(value, kind)
        for name, value in sorted(fields.items())
        if name.startswith(prefix) and value is not None and not _missing(value, kind)
    ]


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

    ``content`` has the texts, ``minutes`` by part, ``lines``, ``cardio``, ``strength`` and
    ``spans`` with their ids, what is removed of each, ``explanations`` by line. Raises
    Rejected 400 with the fields that cannot be.
    """
    fields: dict[str, Any] = {
        name: content[name] or None for name in TEXT_FIELDS if name in content
    }
    fields.update({name: content[name] for name in WHOLE_NUMBER_FIELDS if name in content})
    # None not counted is read as 0: sent back, it says no more than it did.
    if fields.get(NOT_COUNTED) == 0:
        fields[NOT_COUNTED] = None
    for name in TIME_FIELDS:
        if name in content:
            fields[name] = None if content[name] is None else content[name].isoformat()
    minutes = content.get("minutes") or {}
    fields.update({f"{MINUTES_PREFIX}{part}": number for part, number in minutes.items()})
    explained = content.get("explanations") or {}
    fields.update(
        {f"{EXPLANATION_PREFIX}{line_id}": text or None for line_id, text in explained.items()}
    )
    for kind, prefix in {**LINE_PREFIXES, **MEASURED_PREFIXES}.items():
        fields.update(_line_fields(kind, prefix, content))
    fields.update(
        {f"{EXPLANATION_PREFIX}{line_id}": None for line_id in content.get("remove_lines") or ()}
    )
    return fields


def _line_fields(kind: str, prefix: str, content: Mapping[str, Any]) -> dict[str, Any]:
    """What is written and what is removed of one kind of lines; 400 where one is both."""
    written: Iterable[Any] = content.get(kind) or ()
    removed = [str(line_id) for line_id in content.get(f"remove_{kind}") or ()]
    ids = [str(line["line_id"]) for line in written]
    if len({*ids, *removed}) < len(ids) + len(removed):
        detail = "Each line once, either written or removed."
        raise Rejected("invalid", detail, status=400, fields={kind: detail})
    return {
        **{f"{prefix}{line['line_id']}": msgspec.to_builtins(line) for line in written},
        **{f"{prefix}{line_id}": None for line_id in removed},
    }


def readable(fields: Mapping[str, Any]) -> dict[str, Any]:
    """A draft's fields as devices read them: the shape that ``note_fields`` takes."""
    content = note_content(fields)
    shown: dict[str, Any] = msgspec.to_builtins(content)
    shown["minutes"] = {one.part.value: one.minutes for one in content.minutes}
    return shown
