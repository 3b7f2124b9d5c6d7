"""Sessions as an iCalendar file (RFC 5545). No clinical word: what it is for is not in it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from uuid import UUID

if TYPE_CHECKING:
    from icalendar import Event

PRODUCT = "-//practice record//calendar feed//EN"


@dataclass(frozen=True, kw_only=True)
class FeedEntry:
    """A session as a feed shows it.

    ``changed_at``: when the session last changed; ``sequence`` rises with every change.
    """

    session_id: UUID
    starts_at: datetime
    ends_at: datetime
    changed_at: datetime
    sequence: int
    summary: str
    location: str


def calendar_file(name: str, entries: Iterable[FeedEntry]) -> bytes:
    """The file. Times are instants in UTC (form 2 of RFC 5545, 3.3.5), which every calendar shows
    on its own clock; a moved session keeps its UID, so that it moves there too."""
    from icalendar import Calendar  # A hundred modules that no other request needs.

    found = Calendar()
    found.add("prodid", PRODUCT)
    found.add("version", "2.0")
    found.add("x-wr-calname", name)
    for one in entries:
        found.add_component(_event(one))
    written: bytes = found.to_ical()
    return written


def _event(entry: FeedEntry) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", str(entry.session_id))
    event.add("dtstamp", entry.changed_at.astimezone(UTC))
    event.add("last-modified", entry.changed_at.astimezone(UTC))
    event.add("sequence", entry.sequence)
    event.add("dtstart", entry.starts_at.astimezone(UTC))
    event.add("dtend", entry.ends_at.astimezone(UTC))
    event.add("summary", entry.summary)
    event.add("location", entry.location)
    event.add("class", "PRIVATE")
    return event


def initials(name: str) -> str:
    """The first letters of a name's words: "Maja van der Lind" gives "M. v. d. L."."""
    return " ".join(f"{word[0]}." for word in name.replace("-", " ").split())
