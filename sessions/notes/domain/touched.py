"""What a save makes its writer's own, of lines that were brought in and of words that were carried
over: one rule for saves of parts and of the whole note. Pure.

A save of parts names what it means: that is touched, as it stands too. A save of the whole note
names everything, so only what it says otherwise than its device had read is touched, or one such
save would confirm a whole note that was copied. A line's place in the order is nothing said of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sessions.notes.domain.content import LINE_PREFIX
from sessions.notes.domain.draft_fields import DraftField, DraftSave, Value
from sessions.notes.domain.line_fields import ORIGIN, line_of, of_lines

_UNSAID = (f".{ORIGIN}", ".position")


def touched_by(
    fields: Mapping[str, DraftField], save: DraftSave, sent: Iterable[str]
) -> tuple[str, ...]:
    """The fields that a save touches, lines whole. ``save``: thing by thing; ``sent``: the names
    as they came."""
    if not save.whole:
        return of_lines((*sent, *save.changes))
    names = sorted({*save.changes, *fields})
    return of_lines(
        name
        for name in names
        if not (line_of(name) != name and name.endswith(_UNSAID)) and _differs(fields, save, name)
    )


def with_marks_read(fields: Mapping[str, DraftField], save: DraftSave) -> dict[str, Value]:
    """What a whole save says, each line that it leaves as it was read with the mark read there."""
    touched = set(touched_by(fields, save, ()))
    marks = {
        origin: fields[origin].value_at(save.base)
        for line, there in save.changes.items()
        if line.startswith(LINE_PREFIX) and line_of(line) == line
        if there is not None and line not in touched
        if (origin := f"{line}.{ORIGIN}") in fields
    }
    return {**save.changes, **marks}


def _differs(fields: Mapping[str, DraftField], save: DraftSave, name: str) -> bool:
    """Whether it says another thing than was read; to say nothing is one thing."""
    read = fields[name].value_at(save.base) if name in fields else None
    said = save.changes.get(name)
    return (None if said == "" else said) != (None if read == "" else read)
