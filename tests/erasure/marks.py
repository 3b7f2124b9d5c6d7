"""A text of its own for every text field of every event and of every table, and where it is found.

What is made here follows from the registry of events and from the models: a new event, a new
field or a new table is marked without a word being added.
"""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Iterator
from datetime import date
from enum import Enum
from hashlib import sha256
from typing import Any
from uuid import UUID, uuid4

import msgspec
from django.db.models import Field, Model

from practice.clock import clock
from practice.core.events import Event, registry
from tests.golden import PLAIN

MARK = re.compile("~[0-9a-f]{8}~")
FITS = 10
"""Characters of a marker: a column for less holds no free text."""
MOST_KINDS = 4
"""Of how many kinds a field may be at most: an event is made once for each."""

_places: dict[str, str] = {}


def mark(place: str) -> str:
    """The marker of a place, ``Class.field``."""
    made = f"~{sha256(place.encode()).hexdigest()[:8]}~"
    assert _places.setdefault(made, place) == place
    return made


def places(text: str) -> set[str]:
    """The places whose markers stand in a text."""
    return {_places[one] for one in MARK.findall(text) if one in _places}


def marked_events() -> Iterator[tuple[str, Event]]:
    """Every registered event with a marker in every text, nested ones too."""
    for name, known in registry.by_name.items():
        made: list[Event] = []
        for turn in range(MOST_KINDS):
            one = value_of(known.cls, known.cls.__name__, turn)
            if one not in made:
                made.append(one)
                yield name, one


def value_of(wanted: Any, place: str, turn: int) -> Any:
    """A value of a type: texts are the marker of their place, other values always the same."""
    origin, arguments = typing.get_origin(wanted), typing.get_args(wanted)
    if wanted in (str, Any, object):
        return mark(place)
    if wanted in PLAIN:
        return PLAIN[wanted]
    if origin in (typing.Union, types.UnionType):
        kinds = [one for one in arguments if one is not type(None)]
        return value_of(kinds[turn % len(kinds)], place, turn)
    if origin is typing.Literal:
        return arguments[0]
    if origin is typing.Annotated:
        return value_of(arguments[0], place, turn)
    if origin in (list, tuple, set, frozenset):
        return origin([value_of(arguments[0], place, turn)])
    if origin is dict:
        key, value = arguments
        return {value_of(key, place, turn): value_of(value, place, turn)}
    if isinstance(wanted, type) and issubclass(wanted, Enum):
        return next(iter(wanted))
    if isinstance(wanted, type) and issubclass(wanted, msgspec.Struct):
        hints = typing.get_type_hints(wanted, include_extras=True)
        fields = wanted.__struct_fields__
        own = wanted.__name__
        return wanted(**{one: value_of(hints[one], f"{own}.{one}", turn) for one in fields})
    raise TypeError(f"no marked value of {wanted}")


def marked_row(model: type[Model], client_id: UUID) -> Model:
    """A row of a client's table with a marker in every column of text or JSON."""
    return model(
        **{
            one.attname: client_id if one.attname == "client_id" else _column(one)
            for one in model._meta.concrete_fields
        }
    )


def _column(one: Field[Any, Any]) -> Any:
    kind, place = one.get_internal_type(), f"{one.model.__name__}.{one.attname}"
    if kind == "CharField" and one.max_length is not None and one.max_length < FITS:
        return ""
    by_kind: dict[str, Any] = {
        "CharField": mark,
        "TextField": mark,
        "JSONField": lambda place: [mark(place)],
        "UUIDField": lambda _: uuid4(),
        "DateTimeField": lambda _: clock.now(),
        "DateField": lambda _: date(2026, 3, 2),
        "BooleanField": lambda _: False,
    }
    return by_kind.get(kind, lambda _: 1)(place)
