"""Handlers by the exact class of an event, and the proof that none was forgotten.

A slice, a projection, the texts of a history and the plans of jobs are the same thing: a
function for each class of event. Each names the modules of events that it watches; every event
defined there has a handler or stands in ``ignores``, else the program does not start.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from types import MappingProxyType, ModuleType
from typing import Any, Generic, TypeVar, overload

from practice.core.events import Event, RecordedEvent

A = TypeVar("A", bound=Event)
B = TypeVar("B", bound=Event)
C = TypeVar("C", bound=Event)
T = TypeVar("T")
R = TypeVar("R")


class Dispatch:
    """A table from the exact class of an event to its handler.

    ``watches``: modules of events. ``ignores``: classes from them that need no handler, said
    aloud. Handlers are added by ``on`` until ``close`` is called at installation.
    """

    def __init__(
        self,
        name: str,
        *,
        watches: tuple[ModuleType, ...] = (),
        ignores: tuple[type[Event], ...] = (),
    ) -> None:
        self.name = name
        self.watches = watches
        self.ignores = frozenset(ignores)
        self._handlers: dict[type[Event], Callable[..., Any]] = {}
        self.handlers = MappingProxyType(self._handlers)
        self._closed = False

    @property
    def handles(self) -> tuple[type[Event], ...]:
        """The classes that have a handler."""
        return tuple(self._handlers)

    def register(self, handler: Callable[..., Any], classes: tuple[type[Event], ...]) -> None:
        """Add a handler. Raises ValueError for a second one of a class and once closed."""
        for cls in classes:
            if self._closed:
                raise ValueError(f"{self} is installed; {_name(cls)} comes too late")
            if cls in self._handlers:
                raise ValueError(f"{self} handles {_name(cls)} twice")
            self._handlers[cls] = handler

    def __str__(self) -> str:
        return f"{type(self).__name__} {self.name}"

    def close(self) -> None:
        """No handler comes after this."""
        self._closed = True

    def gaps(self) -> Iterator[str]:
        """What is missing or contradicts itself, as sentences."""
        watched = {cls for module in self.watches for cls in events_of(module)}
        for cls in sorted(watched - self._handlers.keys() - self.ignores, key=_name):
            yield f"{self} neither handles nor ignores {_name(cls)}"
        for cls in sorted(self.ignores & self._handlers.keys(), key=_name):
            yield f"{self} both handles and ignores {_name(cls)}"
        for cls in sorted(self._handlers.keys() - watched, key=_name):
            yield f"{self} handles {_name(cls)}, which no module that it watches defines"
        for cls in sorted(self.ignores - watched, key=_name):
            yield f"{self} ignores {_name(cls)}, which no module that it watches defines"


class Folding(Dispatch, Generic[T]):
    """Handlers that change a target: the builder of a slice, the rows of a read table."""

    @overload
    def on(
        self, a: type[A], /
    ) -> Callable[
        [Callable[[T, A, RecordedEvent], None]], Callable[[T, A, RecordedEvent], None]
    ]: ...
    @overload
    def on(
        self, a: type[A], b: type[B], /
    ) -> Callable[
        [Callable[[T, A | B, RecordedEvent], None]], Callable[[T, A | B, RecordedEvent], None]
    ]: ...
    @overload
    def on(
        self, a: type[A], b: type[B], c: type[C], /
    ) -> Callable[
        [Callable[[T, A | B | C, RecordedEvent], None]],
        Callable[[T, A | B | C, RecordedEvent], None],
    ]: ...
    def on(self, *classes: type[Event]) -> Callable[[Any], Any]:
        """Decorator: ``handler(target, event, meta)`` takes events of these classes."""

        def register(handler: Any) -> Any:
            self.register(handler, classes)
            return handler

        return register

    def apply(self, target: T, meta: RecordedEvent) -> None:
        """Take one event; where no handler takes its class, the target stays as it is."""
        handler = self._handlers.get(type(meta.data))
        if handler is not None:
            handler(target, meta.data, meta)


class Answering(Dispatch, Generic[R]):
    """Handlers that make something of an event: a sentence, a list of jobs."""

    @overload
    def on(
        self, a: type[A], /
    ) -> Callable[[Callable[[A, RecordedEvent], R]], Callable[[A, RecordedEvent], R]]: ...
    @overload
    def on(
        self, a: type[A], b: type[B], /
    ) -> Callable[[Callable[[A | B, RecordedEvent], R]], Callable[[A | B, RecordedEvent], R]]: ...
    @overload
    def on(
        self, a: type[A], b: type[B], c: type[C], /
    ) -> Callable[
        [Callable[[A | B | C, RecordedEvent], R]], Callable[[A | B | C, RecordedEvent], R]
    ]: ...
    def on(self, *classes: type[Event]) -> Callable[[Any], Any]:
        """Decorator: ``handler(event, meta)`` answers for events of these classes."""

        def register(handler: Any) -> Any:
            self.register(handler, classes)
            return handler

        return register

    def answer(self, meta: RecordedEvent) -> R | None:
        """What the handler makes of an event; None where no handler takes its class."""
        handler = self._handlers.get(type(meta.data))
        if handler is None:
            return None
        made: R = handler(meta.data, meta)
        return made


def events_of(module: ModuleType) -> set[type[Event]]:
    """The events that a module defines itself; what it imports is not counted."""
    return {
        one
        for one in vars(module).values()
        if isinstance(one, type)
        and issubclass(one, Event)
        and one is not Event
        and one.__module__ == module.__name__
    }


def _name(cls: type[Event]) -> str:
    return f"{cls.__module__}.{cls.__qualname__}"
