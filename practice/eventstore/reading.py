"""Reading a stream up to a version that nobody holds: rows may come, or go, meanwhile."""

from __future__ import annotations

from collections.abc import Container, Sequence
from typing import Any, NamedTuple
from uuid import UUID

from django.db import connection
from django.db.models import Q

from practice.core.events import Event, RecordedEvent
from practice.eventstore.models import StoredEvent
from practice.eventstore.store import LOADED, MAC, TYPE, SizedEvents, unwanted_types


class EventsUntil(NamedTuple):
    """Events up to a version, with sizes, and the mac of the last row there is, empty if none."""

    events: list[RecordedEvent]
    sizes: list[int]
    mac: bytes

    def size_of(self, kinds: Container[type[Event]]) -> int:
        """The stored bytes of the events of some kinds."""
        both = zip(self.events, self.sizes, strict=True)
        return sum(size for one, size in both if type(one.data) in kinds)


def load_until(stream: UUID, version: int, *, types: Sequence[str], start: int) -> EventsUntil:
    """What ``load`` gives of the versions up to one, and the mac of that one, of whatever
    type: no other row has it."""
    unwanted = unwanted_types(types)
    rows = _rows_until(stream, version, unwanted, start)
    mac = bytes(rows[-1][MAC]) if rows else b""
    # Only the row of the version itself, the last, may be of a type that nobody asked for.
    wanted = rows[:-1] if rows and rows[-1][TYPE] in unwanted else rows
    events, sizes = SizedEvents.of(stream, wanted)
    return EventsUntil(events, sizes, mac)


def _rows_until(
    stream: UUID, version: int, unwanted: Sequence[str], start: int
) -> list[tuple[Any, ...]]:
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        return postgresql.load_until(stream, unwanted, start, version)
    found = StoredEvent.objects.filter(stream=stream, version__range=(start, version))
    found = found.filter(Q(version=version) | ~Q(type__in=unwanted)).order_by("version")
    return list(found.values_list(*LOADED, "mac"))
