"""The one clock of the program. Only the loader of demo history and tests set it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, datetime

_set: ContextVar[datetime | None] = ContextVar("practice_clock", default=None)


class Clock:
    """Tells the time in UTC, aware, to the microsecond."""

    def now(self) -> datetime:
        """The present instant, or the one that a loader has set."""
        return _set.get() or datetime.now(UTC)

    @property
    def held(self) -> bool:
        """Whether somebody has set it."""
        return _set.get() is not None

    @contextmanager
    def at(self, instant: datetime) -> Iterator[None]:
        """Hold the clock at an instant for the block."""
        token = _set.set(instant)
        try:
            yield
        finally:
            _set.reset(token)


clock = Clock()
