"""What one unit of work has read of the practice's own rows, so that it reads them once.

A unit decides under its locks; what it has read after them is what it decides by. The
memory is emptied with every new lock and whenever such rows are written in the unit.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, TypeVar, cast

T = TypeVar("T")
_cache: ContextVar[dict[Hashable, Any] | None] = ContextVar("unit_memory", default=None)


@contextmanager
def caching() -> Iterator[None]:
    """Keep what ``memoize`` reads until the end of the block."""
    token = _cache.set({})
    try:
        yield
    finally:
        _cache.reset(token)


def invalidate() -> None:
    """What was read so far may be old."""
    cache = _cache.get()
    if cache is not None:
        cache.clear()


def memoize(key: Hashable, read: Callable[[], T]) -> T:
    """Read, or inside a unit what was read before. Outside a unit it always reads."""
    cache = _cache.get()
    if cache is None:
        return read()
    if key not in cache:
        cache[key] = read()
    return cast("T", cache[key])
