"""What happened last stands: facts take effect when they happened, not when they were written.

Of two consents the one that happened later stands, even if it was recorded first.
"""

from __future__ import annotations

from typing import Generic, TypeVar

from practice.core.events import EventOrder, RecordedEvent

T = TypeVar("T")


class Latest(Generic[T]):
    """The value that happened last of those offered, in whatever order they come."""

    def __init__(self, value: T) -> None:
        self.value = value
        self.since: EventOrder | None = None

    def offer(self, value: T, recorded: RecordedEvent) -> None:
        """Take the value unless one that happened later is here already."""
        order = recorded.order
        if self.since is None or order > self.since:
            self.value, self.since = value, order
