"""Folding events into the slices of a client's state."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from practice.core.decisions import Slice, States
from practice.core.events import RecordedEvent, registry

EventReader = Callable[[Sequence[str]], list[RecordedEvent]]


class StateLoader:
    """The builders of the slices that one unit of work has needed so far, for one client.

    A slice is loaded the first time it is asked for, filtered by its event types;
    events decided in the same unit are folded into it as they come.
    """

    def __init__(self, load: EventReader) -> None:
        self._load = load
        self._builders: dict[str, tuple[Slice[Any, Any], frozenset[type], Any]] = {}
        self._unstored: list[RecordedEvent] = []

    def require(self, slices: Iterable[Slice[Any, Any]]) -> States:
        """The frozen states of some slices, loading those not seen before in one query."""
        wanted = list(slices)
        missing = [slice_ for slice_ in wanted if slice_.name not in self._builders]
        if missing:
            fresh = [(slice_, frozenset(slice_.folds), slice_.initial()) for slice_ in missing]
            types = registry.names({cls for slice_ in missing for cls in slice_.folds})
            _evolve(fresh, [*self._load(types), *self._unstored])
            for entry in fresh:
                self._builders[entry[0].name] = entry
        return States(
            {slice_.name: slice_.freeze(self._builders[slice_.name][2]) for slice_ in wanted}
        )

    def add(self, recorded: RecordedEvent) -> None:
        """Fold an event that was decided but is not stored yet."""
        self._unstored.append(recorded)
        _evolve(self._builders.values(), [recorded])

    def stored(self) -> None:
        """What was decided is in the log now: a later load will bring it."""
        self._unstored.clear()


def _evolve(
    entries: Iterable[tuple[Slice[Any, Any], frozenset[type], Any]], events: Iterable[RecordedEvent]
) -> None:
    takers: dict[type, list[tuple[Callable[[Any, RecordedEvent], None], Any]]] = {}
    for slice_, folds, builder in entries:
        for kind in folds:
            takers.setdefault(kind, []).append((slice_.evolve, builder))
    for recorded in events:
        for evolve, builder in takers.get(type(recorded.data), ()):
            evolve(builder, recorded)
