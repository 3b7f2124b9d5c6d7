"""Folding events into the slices of a client's state."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from practice.core.decisions import Slice, States
from practice.core.events import Event, RecordedEvent, registry

EventReader = Callable[[Sequence[str]], Sequence[RecordedEvent]]
Takers = dict[type[Event], list[tuple[Callable[..., None], Any]]]


class StateLoader:
    """The builders of the slices that a read or a unit of work has needed so far, of one client.

    A slice is loaded the first time it is asked for, filtered by its event types, and frozen
    once for as long as no event changes its builder.
    """

    def __init__(self, load: EventReader) -> None:
        self._load = load
        self._builders: dict[str, Any] = {}
        self._frozen: dict[str, Any] = {}
        self._takers: Takers = {}
        self._unstored: list[RecordedEvent] = []

    def require(self, slices: Iterable[Slice[Any, Any]]) -> States:
        """The frozen states of some slices, loading those not seen before in one query."""
        wanted = {slice_.name: slice_ for slice_ in slices}
        missing = [slice_ for name, slice_ in wanted.items() if name not in self._builders]
        if missing:
            fresh = self._begun(missing)
            takers = takers_of(missing, fresh)
            fold(takers, self._unstored)
            self._builders |= fresh
            for cls, those in takers.items():
                self._takers.setdefault(cls, []).extend(those)
        for name, slice_ in wanted.items():
            if name not in self._frozen:
                self._frozen[name] = slice_.freeze(self._builders[name])
        return States({name: self._frozen[name] for name in wanted})

    def _begun(self, missing: Sequence[Slice[Any, Any]]) -> dict[str, Any]:
        """The builders of some slices up to the last stored event."""
        fresh = {slice_.name: slice_.initial() for slice_ in missing}
        takers = takers_of(missing, fresh)
        fold(takers, self._load(registry.names(takers)))
        return fresh


def takers_of(slices: Iterable[Slice[Any, Any]], builders: Mapping[str, Any]) -> Takers:
    """For each class of event the handlers that take it, each with the builder it changes."""
    takers: Takers = {}
    for slice_ in slices:
        for cls, handler in slice_.handlers.items():
            takers.setdefault(cls, []).append((handler, builders[slice_.name]))
    return takers


def fold(takers: Takers, events: Iterable[RecordedEvent]) -> None:
    """Give each event, in order, to the handlers that take it."""
    for recorded in events:
        event = recorded.data
        for handler, builder in takers.get(type(event), ()):
            handler(builder, event, recorded)
