"""A builder goes on after its state was frozen: the two share nothing that can change."""

import dataclasses
import gc
from collections.abc import Iterator
from types import MappingProxyType
from typing import Any

import msgspec
import pytest

from practice.core.appspec import installed
from practice.core.decisions import Slice
from tests.dsl import recorded
from tests.golden import sample

SLICES = sorted(installed.slices.values(), key=lambda one: one.name)


def parts(one: Any) -> list[Any]:
    """What an object holds."""
    if isinstance(one, dict):
        return [*one.keys(), *one.values()]
    if isinstance(one, MappingProxyType):
        return gc.get_referents(one)  # the dict behind it
    if isinstance(one, list | tuple | set | frozenset):
        return list(one)
    if isinstance(one, msgspec.Struct):
        return [getattr(one, name) for name in one.__struct_fields__]
    if dataclasses.is_dataclass(one):
        return [getattr(one, field.name) for field in dataclasses.fields(one)]
    return list(vars(one).values()) if changeable(one) else []


def changeable(one: Any) -> bool:
    """Whether an object itself can change."""
    if isinstance(one, msgspec.Struct):
        return not one.__struct_config__.frozen
    if dataclasses.is_dataclass(one):
        return not type(one).__dataclass_params__.frozen  # type: ignore[attr-defined]
    own = type(one).__module__.split(".")[0] in ("practice", "clients", "sessions", "billing")
    plain_object = own and hasattr(one, "__dict__") and not hasattr(type(one), "__members__")
    return isinstance(one, dict | list | set | bytearray) or plain_object


def changeables(one: Any) -> Iterator[tuple[int, Any]]:
    waiting, seen = [one], set()
    while waiting:
        part = waiting.pop()
        if id(part) not in seen:
            seen.add(id(part))
            if changeable(part):
                yield id(part), part
            waiting += parts(part)


@pytest.mark.parametrize("slice_", SLICES, ids=lambda one: one.name)
def test_a_frozen_state_shares_nothing_with_its_builder_that_can_change(
    slice_: Slice[Any, Any],
) -> None:
    events = [
        recorded(sample(cls), version)
        for version, cls in enumerate([*slice_.handlers, *slice_.handlers], 1)
    ]
    before = [msgspec.json.encode(one.data) for one in events]
    builder = slice_.initial()
    for one in events:
        slice_.apply(builder, one)
        frozen = slice_.freeze(builder)
        # An event is a value: nobody changes what lies in it, so that it may be shared.
        values = {number for event in events for number, _ in changeables(event.data)}
        inside = {number: part for number, part in changeables(builder) if number not in values}
        shared = [part for number, part in changeables(frozen) if number in inside]
        assert not shared, f"{slice_.name} shares {shared}"
    assert [msgspec.json.encode(one.data) for one in events] == before
    assert inside, "the builder is seen"
