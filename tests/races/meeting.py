"""Where the threads of a race wait for each other, so that they do meet where a guard is lifted.

Without it two threads that start together meet between reading and writing by luck alone: on a
busy machine the one is often done before the other begins, and a control shows nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from threading import Condition, Thread, current_thread, main_thread
from typing import Any
from unittest import mock

from practice.eventstore import store

PATIENCE = 10.0
"""Seconds that a thread waits for the others: far longer than any needs to get there, and less
than a transaction may stand idle."""


class Meeting:
    """A point that nobody passes before ``count`` threads are there; later ones pass at once.

    Whoever has waited ``seconds`` in vain passes too, and is not there any more. The test's own
    thread, which prepares and looks afterwards, always passes.
    """

    def __init__(self, count: int = 2, seconds: float = PATIENCE) -> None:
        self.count, self.seconds = count, seconds
        self._here: set[Thread] = set()
        self._changed = Condition()

    @property
    def met(self) -> bool:
        """Whether so many were there at one moment."""
        return len(self._here) >= self.count

    def renew(self) -> None:
        """The threads of another round meet anew."""
        self._here = set()

    def wait(self) -> None:
        """Be there until all are."""
        this = current_thread()
        if this is main_thread():
            return
        with self._changed:
            self._here.add(this)
            self._changed.notify_all()
            if not self._changed.wait_for(lambda: self.met, self.seconds):
                self._here.discard(this)


@contextmanager
def meeting_before(
    owner: Any, name: str, count: int = 2, seconds: float = PATIENCE
) -> Iterator[Meeting]:
    """Whoever calls a function of the product meets the others before it begins."""
    meeting, original = Meeting(count, seconds), getattr(owner, name)

    def met(*args: Any, **options: Any) -> Any:
        meeting.wait()
        return original(*args, **options)

    with mock.patch.object(owner, name, met):
        yield meeting


def before_writing(seconds: float = PATIENCE) -> AbstractContextManager[Meeting]:
    """Two units of work meet when each has decided and has written no event: neither has seen
    anything of the other. Under the lock that is lifted the second never gets there."""
    return meeting_before(store, "append", seconds=seconds)
