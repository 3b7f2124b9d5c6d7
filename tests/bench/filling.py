"""Fills the log with streams of a given length through the event store, many at once."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from uuid import UUID

from django.db import connection, transaction

from practice.core.collector import collector_paused
from practice.core.events import Event, RecordedEvent, registry
from practice.eventstore import store
from practice.work.unit_of_work import new_client_stream
from tests.bench.record import RATER, measured

BEGAN = datetime(2025, 1, 6, 9, 0, tzinfo=UTC)
AT_ONCE = 10_000
"""Events of one append: so many lie in memory."""


def fill(streams: int, length: int, event_of: Callable[[int], Event] = measured) -> list[UUID]:
    """That many new clients with streams of that length; their ids. ``event_of`` gives the event
    of a number."""
    made: list[UUID] = []
    most = max(1, AT_ONCE // length)
    while len(made) < streams:
        made += _new_streams(min(most, streams - len(made)), length, event_of)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE eventstore_storedevent, eventstore_streamhead")
    return made


@collector_paused()
def _new_streams(count: int, length: int, event_of: Callable[[int], Event]) -> list[UUID]:
    clients = [new_client_stream() for _ in range(count)]
    with transaction.atomic():
        heads = [store.create_head(client_id) for client_id in clients]
        for first in range(0, length, AT_ONCE):
            numbers = range(first, min(first + AT_ONCE, length))
            store.append([(head, _recorded(head.stream, numbers, event_of)) for head in heads])
    return clients


def _recorded(
    client_id: UUID, numbers: range, event_of: Callable[[int], Event]
) -> list[RecordedEvent]:
    """Events two hours apart; the event store gives them their positions."""
    made = []
    for number in numbers:
        at = BEGAN + timedelta(hours=2 * number)
        data = event_of(number)
        kind = registry.by_class[type(data)].name
        made.append(RecordedEvent(*(0, client_id, number + 1, kind, at, at, RATER, "bench", data)))
    return made
