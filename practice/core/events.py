"""Event types: frozen structs known for ever by a stable name and a version.

An event is never changed once written. When its fields must change, its class
moves to the next version and an upcaster (dict -> dict) upcasts the older
payloads as they are read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, NamedTuple, TypeVar
from uuid import UUID

import msgspec

Payload = dict[str, Any]
EventOrder = tuple[datetime, datetime, int]
Upcaster = Callable[[Payload], Payload]
E = TypeVar("E", bound="Event")


class Event(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Base of every event. Fields carry what happened; never who or when."""

    # No cycle is possible in frozen plain data: the collector need not look at thousands of them.


class RecordedEvent(msgspec.Struct, frozen=True, gc=False):
    """One event as the log holds it.

    ``occurred_at`` is when it happened, ``recorded_at`` when it was written
    down; both are aware UTC datetimes. ``version`` counts from 1 in a stream.
    """

    position: int
    stream: UUID
    version: int
    type: str
    occurred_at: datetime
    recorded_at: datetime
    actor: UUID
    request_id: str
    data: Event

    @property
    def order(self) -> EventOrder:
        """The place of an event in order of happening; of one instant the one recorded last."""
        return (self.occurred_at, self.recorded_at, self.version)


class DatedEvent(NamedTuple):
    """An event that a decision dates itself, when it is entered late."""

    event: Event
    occurred_at: datetime


class UnknownEventVersion(Exception):
    """The log holds an event that this process is too old to read.

    The process must not write to that client until it has been updated.
    """


@dataclass
class EventType:
    """A stable name, its newest version, its class and the way up from older versions."""

    name: str
    version: int
    cls: type[Event]
    upcasters: dict[int, Upcaster] = field(default_factory=dict)
    decoder: msgspec.json.Decoder[Any] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self.decoder = msgspec.json.Decoder(self.cls)


class EventTypeRegistry:
    """Every event type of the running program, by name and by class."""

    def __init__(self) -> None:
        self.by_name: dict[str, EventType] = {}
        self.by_class: dict[type[Event], EventType] = {}
        self._encoder = msgspec.json.Encoder()

    def add(self, name: str, version: int, cls: type[Event]) -> None:
        """Register a class under its stable name; a name is given once."""
        if name in self.by_name:
            raise ValueError(f"event name {name!r} is taken by {self.by_name[name].cls}")
        known = EventType(name, version, cls)
        self.by_name[name] = known
        self.by_class[cls] = known

    def add_upcaster(self, name: str, from_version: int, upcast: Upcaster) -> None:
        """Register the step from one version of a payload to the next."""
        self.by_name[name].upcasters[from_version] = upcast

    def missing_upcasters(self) -> list[str]:
        """The gaps in the chains from version 1 to the newest, as sentences."""
        return [
            f"{known.name}: no upcaster from version {number}"
            for known in self.by_name.values()
            for number in range(1, known.version)
            if number not in known.upcasters
        ]

    def encode(self, event: Event) -> bytes:
        """The payload of an event as JSON bytes."""
        return self._encoder.encode(event)

    def decode(self, name: str, version: int, payload: bytes) -> Event:
        """The event that a stored payload stands for, upcast to its newest version.

        Raises UnknownEventVersion for a name or version from the future.
        """
        known = self.by_name.get(name)
        if known is None or version > known.version:
            raise UnknownEventVersion(f"{name} version {version}")
        if version == known.version:
            event: Event = known.decoder.decode(payload)
            return event
        raw: Payload = msgspec.json.decode(payload)
        for number in range(version, known.version):
            raw = known.upcasters[number](raw)
        upcasted: Event = msgspec.convert(raw, known.cls)
        return upcasted

    def names(self, classes: Iterable[type[Event]]) -> list[str]:
        """The stable names of some classes, sorted."""
        return sorted(self.by_class[cls].name for cls in classes)


registry = EventTypeRegistry()


def event(name: str, *, version: int = 1) -> Callable[[type[E]], type[E]]:
    """Class decorator that gives an event its stable name and version."""

    def register(cls: type[E]) -> type[E]:
        registry.add(name, version, cls)
        return cls

    return register


def upcaster(name: str, *, from_version: int) -> Callable[[Upcaster], Upcaster]:
    """Decorator of the step that upcasts a payload to the next version."""

    def register(upcast: Upcaster) -> Upcaster:
        registry.add_upcaster(name, from_version, upcast)
        return upcast

    return register
