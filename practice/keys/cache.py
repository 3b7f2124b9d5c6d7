"""Unwrapped keys in memory, for a minute at most, whether anybody asks again or not.

An entry that has run out is never given, and a timer drops it from memory: a process that has
nothing to do keeps nothing. What the interpreter's memory held is not wiped.
"""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Hashable
from typing import Any, Protocol
from weakref import WeakSet


class Timer(Protocol):
    """What ``threading.Timer`` gives."""

    daemon: bool

    def start(self) -> None:
        """Begin to wait."""

    def is_alive(self) -> bool:
        """Whether it still waits; false in a child made by fork, which must start its own."""


class KeyCache:
    """Values by key, each for ``seconds`` from when it was put in; asking does not prolong it."""

    def __init__(
        self,
        seconds: float,
        *,
        now: Callable[[], float] = time.monotonic,
        timer: Callable[[float, Callable[[], None]], Timer] = threading.Timer,
    ) -> None:
        self._seconds = seconds
        self._now = now
        self._new_timer = timer
        self._timer: Timer | None = None
        self._lock = threading.Lock()
        self._held: dict[Hashable, tuple[float, Any]] = {}
        _caches.add(self)

    def __len__(self) -> int:
        return len(self._held)

    def get(self, name: Hashable) -> Any:
        """The value, or None where there is none or its time is over."""
        found = self._held.get(name)
        if found is None or found[0] <= self._now():
            return None
        return found[1]

    def until(self, name: Hashable) -> float | None:
        """When the time of a value is over, or None where there is none or it is over."""
        found = self._held.get(name)
        return None if found is None or found[0] <= self._now() else found[0]

    def put(self, name: Hashable, value: Any) -> None:
        """Keep a value from now on; what has run out goes."""
        with self._lock:
            self._held[name] = (self._now() + self._seconds, value)
            self._drop_old()

    def clear(self) -> None:
        """Keep nothing."""
        with self._lock:
            self._held.clear()

    def lock_anew(self) -> None:
        """In a child made by fork: a thread that held the lock is not there to let it go."""
        self._lock = threading.Lock()

    def sweep(self) -> None:
        """Drop what has run out; wait again while anything is left."""
        with self._lock:
            self._timer = None
            self._drop_old()

    def _drop_old(self) -> None:
        now = self._now()
        for name in [one for one, (until, _) in self._held.items() if until <= now]:
            self._remove(name)
        self._wait()

    def _remove(self, name: Hashable) -> Any:
        """Take a value out, under the lock."""
        return self._held.pop(name)[1]

    def _wait(self) -> None:
        if self._held and (self._timer is None or not self._timer.is_alive()):
            self._timer = self._new_timer(self._seconds, self.sweep)
            self._timer.daemon = True
            self._timer.start()


_caches: WeakSet[KeyCache] = WeakSet()


def _lock_all_anew() -> None:
    for one in _caches:
        one.lock_anew()


os.register_at_fork(after_in_child=_lock_all_anew)
