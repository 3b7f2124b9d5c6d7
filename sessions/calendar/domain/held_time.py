"""The time that a session holds of its practitioner and its room. Pure."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final, NamedTuple

from practice.core.spans import Span
from sessions.calendar.domain.terms import BookedKind

LONGEST_BUFFER: Final = 120
"""Minutes: no buffer is longer."""


class Buffers(NamedTuple):
    """Minutes before and after a session in which its practitioner and its room are not free:
    to prepare, to air the room, to write."""

    before: int = 0
    after: int = 0

    @property
    def turned(self) -> Buffers:
        """As they lie around another session that is to be clear of this one."""
        return Buffers(self.after, self.before)


NO_BUFFERS: Final = Buffers()


def buffers_of(kind: BookedKind | None) -> Buffers:
    """Those of the kind that a session is booked as; without one there are none."""
    return NO_BUFFERS if kind is None else Buffers(kind.before, kind.after)


def held_time(
    starts_at: datetime, ends_at: datetime, buffers: Buffers
) -> tuple[datetime, datetime]:
    """From when until when practitioner and room are held: the session with its buffers. Two
    sessions are clear of each other where their held times do not overlap; the client's own
    time is the session alone."""
    before, after = buffers
    return starts_at - timedelta(minutes=before), ends_at + timedelta(minutes=after)


def held_minutes(span: Span, buffers: Buffers) -> Span:
    """The held time of a session from one minute until another."""
    (begin, end), (before, after) = span, buffers
    return begin - before, end + after
