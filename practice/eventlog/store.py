"""Reading and appending stored events: the only hand-written SQL of the program."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import connection
from django.db.models import Q

from practice.domain.events import Recorded, registry
from practice.domain.reasons import not_found
from practice.eventlog.envelope import Envelope, seal, unseal
from practice.eventlog.models import StoredEvent, StreamHead
from practice.keys.keystore import PRACTICE_SUBJECT, keystore

COLUMNS = tuple(Envelope._fields)
SELECT = f"SELECT {', '.join(COLUMNS)} FROM eventlog_storedevent"


@dataclass
class Head:
    """Where a locked stream stands."""

    stream: UUID
    version: int
    mac: bytes
    recorded_at: datetime | None
    starts_at_version: int


def lock_heads(streams: Iterable[UUID]) -> dict[UUID, Head]:
    """Lock the heads of some streams, in sorted order so that two callers never deadlock.

    On SQLite the transaction is IMMEDIATE and the lock is held already. Raises
    Rejected (404) for a stream that does not exist.
    """
    heads: dict[UUID, Head] = {}
    for stream in sorted(set(streams)):
        row = StreamHead.objects.select_for_update().filter(stream=stream).first()
        if row is None:
            raise not_found("client")
        heads[stream] = Head(
            stream, row.version, bytes(row.mac), row.recorded_at, row.starts_at_version
        )
    return heads


def create_head(stream: UUID) -> Head:
    """The head of a new stream; its unique key refuses a second one."""
    StreamHead.objects.create(stream=stream)
    return Head(stream, 0, b"", None, 1)


def take_positions(count: int) -> list[int]:
    """Positions for new events, taken before the mac is computed."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT nextval('eventlog_position') FROM generate_series(1, %s)", [count]
            )
            return [row[0] for row in cursor.fetchall()]
        cursor.execute(
            "INSERT INTO eventlog_positioncounter (id, value) VALUES (1, %s)"
            " ON CONFLICT (id) DO UPDATE SET value = eventlog_positioncounter.value + %s"
            " RETURNING value",
            [count, count],
        )
        last = cursor.fetchone()[0]
        return list(range(last - count + 1, last + 1))


def append(head: Head, events: Sequence[Recorded]) -> list[Recorded]:
    """Append events to a locked stream and move its head. Returns them with positions.

    The unique key on (stream, version) is the truth; it is never worked around.
    """
    # After the closing event of an erasure the stream goes on under the practice's own key.
    key = keystore.of(PRACTICE_SUBJECT if head.starts_at_version > 1 else head.stream)
    rows: list[Envelope] = []
    placed: list[Recorded] = []
    mac = head.mac
    for position, recorded in zip(take_positions(len(events)), events, strict=True):
        at = recorded._replace(position=position)
        row = seal(at, key, mac)
        mac = row.mac
        rows.append(row)
        placed.append(at)
    StoredEvent.objects.bulk_create(StoredEvent(**row._asdict()) for row in rows)
    head.version, head.mac, head.recorded_at = rows[-1].version, mac, rows[-1].recorded_at
    StreamHead.objects.filter(stream=head.stream).update(
        version=head.version,
        mac=head.mac,
        recorded_at=head.recorded_at,
        starts_at_version=head.starts_at_version,
    )
    return placed


def _fetch(sql: str, params: Sequence[Any]) -> Iterator[tuple[Any, ...]]:
    """Rows of a query on PostgreSQL by a binary cursor, which Django's own is not."""
    import psycopg

    connection.ensure_connection()
    with psycopg.Cursor(connection.connection) as cursor:
        cursor.execute(sql, params, binary=True)
        yield from cursor


def envelopes(
    stream: UUID, *, types: Sequence[str] | None = None, start: int = 1
) -> Iterator[Envelope]:
    """The stored rows of a stream in order, filtered by type in the database.

    Rows of a type that this program does not know come along with any filter, so that
    a process too old for them fails instead of deciding without them.
    """
    if connection.vendor == "postgresql":
        sql = f"{SELECT} WHERE stream = %s AND version >= %s"
        params: list[Any] = [stream, start]
        if types is not None:
            sql += " AND (type = ANY(%s) OR type <> ALL(%s))"
            params += [list(types), list(registry.by_name)]
        for row in _fetch(sql + " ORDER BY version", params):
            yield Envelope._make(row)
    else:
        found = StoredEvent.objects.filter(stream=stream, version__gte=start).order_by("version")
        if types is not None:
            found = found.filter(Q(type__in=types) | ~Q(type__in=list(registry.by_name)))
        for row in found.values_list(*COLUMNS):
            yield as_envelope(row)


def as_envelope(row: Sequence[Any]) -> Envelope:
    """A row of the table as an envelope with plain bytes, whatever the engine gave."""
    made = Envelope._make(row)
    return made._replace(ciphertext=bytes(made.ciphertext), mac=bytes(made.mac))


def load(stream: UUID, *, types: Sequence[str] | None = None, start: int = 1) -> list[Recorded]:
    """The events of a stream in order, decrypted.

    Raises KeyDestroyed after erasure and UnknownEventVersion for a row from the future.
    """
    return [
        unseal(row, keystore.by_id(row.key_id))
        for row in envelopes(stream, types=types, start=start)
    ]
