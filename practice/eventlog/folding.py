"""Folding events into the slices of a client's state."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from practice.domain.decisions import Slice, States
from practice.domain.events import Recorded, registry

Load = Callable[[Sequence[str]], list[Recorded]]


class Fold:
    """The builders of the slices that one unit of work has needed so far, for one client.

    A slice is loaded the first time it is asked for, filtered by its event types;
    events decided in the same unit are folded into it as they come.
    """

    def __init__(self, load: Load) -> None:
        self._load = load
        self._builders: dict[str, tuple[Slice[Any, Any], frozenset[type], Any]] = {}
        self._unstored: list[Recorded] = []

    def require(self, slices: Iterable[Slice[Any, Any]]) -> States:
        """The frozen states of some slices, loading those not seen before in one query."""
        wanted = list(slices)
        missing = [part for part in wanted if part.name not in self._builders]
        if missing:
            fresh = [(part, frozenset(part.folds), part.initial()) for part in missing]
            types = registry.names({cls for part in missing for cls in part.folds})
            _evolve(fresh, [*self._load(types), *self._unstored])
            for entry in fresh:
                self._builders[entry[0].name] = entry
        return States({part.name: part.freeze(self._builders[part.name][2]) for part in wanted})

    def add(self, recorded: Recorded) -> None:
        """Fold an event that was decided but is not stored yet."""
        self._unstored.append(recorded)
        _evolve(self._builders.values(), [recorded])

    def stored(self) -> None:
        """What was decided is in the log now: a later load will bring it."""
        self._unstored.clear()


def _evolve(
    entries: Iterable[tuple[Slice[Any, Any], frozenset[type], Any]], events: Iterable[Recorded]
) -> None:
    takers: dict[type, list[tuple[Callable[[Any, Recorded], None], Any]]] = {}
    for part, folds, builder in entries:
        for kind in folds:
            takers.setdefault(kind, []).append((part.evolve, builder))
    for recorded in events:
        for evolve, builder in takers.get(type(recorded.data), ()):
            evolve(builder, recorded)
