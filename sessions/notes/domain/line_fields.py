"""A line of a draft, thing by thing, so that what several saves say of one line comes together as
the fields of the note do. Pure.

In a draft ``line.<id>`` says that a line is there (``{}``) or was taken out (None); beside it
stands each thing that was said of it, e.g. ``line.<id>.response``. A save says of a line what it
names, and the rest stays as it was said; None empties. A save of the whole note says all of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec

from sessions.notes.domain.content import LINE_PREFIX, LINE_PREFIXES
from sessions.notes.domain.draft_fields import DraftField, PastValue, Value

_PREFIXES = tuple(LINE_PREFIXES.values())
ORIGIN = "brought_from"
"""The thing said of a line by which it is marked as brought in, until it is touched."""


def line_of(name: str) -> str:
    """The line that a field of a draft is part of; any other field is its own."""
    if not name.startswith(_PREFIXES):
        return name
    return ".".join(name.split(".", 2)[:2])


def apart(changes: Mapping[str, Value], *, touched: bool = True) -> dict[str, Value]:
    """What a save says, each thing said of a line as a field of its own. ``touched``: a line that
    does not say where it was brought from is the writer's own now."""
    found: dict[str, Value] = {}
    for name, value in changes.items():
        if not (name.startswith(_PREFIXES) and isinstance(value, Mapping)):
            found[name] = value
            continue
        found[name] = {}
        if touched and name.startswith(LINE_PREFIX):
            found[f"{name}.{ORIGIN}"] = None
        found.update({f"{name}.{key}": one for key, one in value.items()})
    return found


def together(fields: Mapping[str, DraftField]) -> dict[str, list[Value]]:
    """The fields of a draft as they are read, lines whole: the values that stand of each."""
    said: dict[str, dict[str, DraftField]] = {}
    for name, field in fields.items():
        line = line_of(name)
        if line != name:
            said.setdefault(line, {})[name.removeprefix(f"{line}.")] = field
    return {
        name: line_values(field, said[name]) if name in said else field.values
        for name, field in sorted(fields.items())
        if line_of(name) == name
    }


def line_values(there: DraftField, said: Mapping[str, DraftField]) -> list[Value]:
    """The readings of a line, that which stands first: one for each save that disagrees, with all
    that nobody disputes."""
    now = _reading(there, said)
    disputed = [field for field in (there, *said.values()) if len(field.values) > 1]
    found = [now]
    for arrival in sorted({head.arrival for field in disputed for head in field.heads}):
        reading = _reading(there, said, arrival)
        if reading not in found:
            found.append(reading)
    return found


def _reading(there: DraftField, said: Mapping[str, DraftField], arrival: int = 0) -> Value:
    """A line as it reads, where something is disputed by the save of an arrival, if it says it."""
    if _value(there, arrival) is None:
        return None
    values = {key: _value(field, arrival) for key, field in sorted(said.items())}
    return {key: one for key, one in values.items() if one is not None}


def _value(field: DraftField, arrival: int) -> Value:
    return next((one.value for one in field.heads if one.arrival == arrival), field.value)


def says(reading: Value, sent: Value) -> bool:
    """Whether a reading has all that a save said of its field."""
    if not (isinstance(reading, Mapping) and isinstance(sent, Mapping)):
        return bool(reading == sent)
    return all(reading.get(key) == one for key, one in sent.items())


def all_of(fields: Iterable[str], values: Mapping[str, Value]) -> dict[str, Value]:
    """Values that say all of their lines: what they leave out of what ``fields`` has is empty."""
    emptied = {name: None for name in fields if line_of(name) != name and line_of(name) in values}
    return {**emptied, **apart(values)}


def of_lines(names: Iterable[str]) -> tuple[str, ...]:
    """Fields as they are read, each once: a line for whatever was said of it."""
    return tuple(dict.fromkeys(line_of(name) for name in names))


def as_line_fields(fields: Mapping[str, DraftField]) -> dict[str, DraftField]:
    """The fields of a draft that was kept with its lines whole, thing by thing."""
    found: dict[str, DraftField] = {}
    for name, field in fields.items():
        keys = _keys(field) if name.startswith(_PREFIXES) and line_of(name) == name else []
        found[name] = _part(field, None) if keys else field
        found.update({f"{name}.{key}": _part(field, key) for key in keys})
    return found


def _keys(field: DraftField) -> list[str]:
    values = [*(one.value for one in field.saved), *(one.value for one in field.history)]
    return sorted({key for value in values if isinstance(value, Mapping) for key in value})


def _part(field: DraftField, key: str | None) -> DraftField:
    """One thing of a line that was kept whole; ``key`` None: whether it is there."""

    def part(value: Value) -> Value:
        if not isinstance(value, Mapping):
            return None
        return {} if key is None else value.get(key)

    return DraftField(
        saved=[msgspec.structs.replace(one, value=part(one.value)) for one in field.saved],
        history=[PastValue(past.revision, part(past.value)) for past in field.history],
    )
