"""What happened last stands: facts take effect when they happened, not when they were written.

Of two consents the one that happened later stands, even if it was recorded first.
"""

from __future__ import annotations

from datetime import datetime
from typing import Generic, TypeVar

from practice.core.events import RecordedEvent

T = TypeVar("T")
OccurrenceKey = tuple[datetime, int]


def when(recorded: RecordedEvent) -> OccurrenceKey:
    """The place of an event in order of happening; of one instant the one recorded last."""
    return (recorded.occurred_at, recorded.version)


class Latest(Generic[T]):
    """The value that happened last of those offered, in whatever order they come."""

    def __init__(self, value: T) -> None:
        self.value = value
        self.since: OccurrenceKey | None = None

    def offer(self, value: T, recorded: RecordedEvent) -> None:
        """Take the value unless one that happened later is here already."""
        if self.since is None or when(recorded) > self.since:
            self.value, self.since = value, when(recorded)
