"""What was read of the practice's own rows: once a request, and as long as none of them changes.

A unit of work decides under its locks: its memory is emptied with every new lock and whenever it
writes such rows. What it then asks for comes from this process's own copy, if the stamp of those
rows, read in a statement that begins after the lock was had, is the one it was read under.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, Final, TypeVar, cast

from django.db import connection
from django.db.models import TextField
from django.db.models.expressions import RawSQL

T = TypeVar("T")
KEPT_VALUES: Final = 20_000
"""At most so many values in a process: the people, places, laws of a chain of 2,000 staff are
some 5,000, of 1 to 4 KB each. Beyond it all are dropped, and read again as they are asked for."""
_STAMP = "SELECT stamp FROM practice_practicestamp"
STAMP: Final = RawSQL(_STAMP, (), output_field=TextField())  # noqa: S611  constant text
"""The stamp as a column of another statement."""


class RequestMemory:
    """What a request or a unit of work has read, and the stamp that it goes by."""

    def __init__(self) -> None:
        self.values: dict[Hashable, Any] = {}
        self._stamp: str | None = None
        self._stamp_read = False

    def stamp(self) -> str | None:
        """The stamp when something was first asked for; None: there is none to go by."""
        if not self._stamp_read:
            self._stamp, self._stamp_read = read_stamp(), True
        return self._stamp

    def go_by(self, stamp: str | None) -> None:
        """Take a stamp that came with another statement, unless one was read before."""
        if not self._stamp_read:
            self._stamp, self._stamp_read = stamp, True

    def clear(self) -> None:
        """What was read so far may be old, the stamp too."""
        self.__init__()  # type: ignore[misc]


_memory: ContextVar[RequestMemory | None] = ContextVar("request_memory", default=None)
_kept: dict[tuple[str, Hashable], tuple[str, Any]] = {}
"""By database and name: the stamp under which a value was read, and the value."""


@contextmanager
def caching() -> Iterator[None]:
    """Keep what ``memoize`` reads until the end of the block."""
    token = _memory.set(RequestMemory())
    try:
        yield
    finally:
        _memory.reset(token)
        invalidate()  # A block inside another may have written.


def invalidate() -> None:
    """What was read so far may be old."""
    memory = _memory.get()
    if memory is not None:
        memory.clear()


def go_by(stamp: str | None) -> None:
    """The stamp as a statement of this request saw it. Units of work read their own."""
    memory = _memory.get()
    if memory is not None:
        memory.go_by(stamp)


def memoize(key: Hashable, read: Callable[[], T]) -> T:
    """A value made from rows of the practice alone, which nobody can change: structs that are
    frozen, tuples, read-only maps, never rows of the ORM. Outside of requests and units of work
    it is always read."""
    memory = _memory.get()
    if memory is None:
        return read()
    if key not in memory.values:
        memory.values[key] = _kept_or_read(memory.stamp(), key, read)
    return cast("T", memory.values[key])


def _kept_or_read(stamp: str | None, key: Hashable, read: Callable[[], T]) -> T:
    """The value of this process, if it was read under this stamp; else it is read now, and kept
    if the stamp is still the same after it."""
    name = (connection.alias, key)
    kept = _kept.get(name)
    if kept is not None and kept[0] == stamp:
        return cast("T", kept[1])
    value = read()
    if stamp is not None and read_stamp() == stamp:
        if len(_kept) >= KEPT_VALUES:
            _kept.clear()
        _kept[name] = (stamp, value)
    return value


def read_stamp() -> str | None:
    """The stamp of the practice's rows as this transaction sees it."""
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        rows: Any = postgresql.run(_STAMP, [])
    else:
        with connection.cursor() as cursor:
            rows = cursor.execute(_STAMP).fetchall()
    return rows[0][0] if rows else None
