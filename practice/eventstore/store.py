"""Reading and appending stored events: the only hand-written SQL of the program."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from operator import itemgetter
from typing import Any, NamedTuple
from uuid import UUID

from django.db import connection
from django.db.models import Q
from msgspec import structs

from practice.core.events import RecordedEvent, registry
from practice.core.reasons import not_found
from practice.eventstore.envelope import (
    KEY_ID,
    LOADED,
    MAC,
    VERSION,
    ChainedRow,
    Envelope,
    SizedEvents,
    as_uuid,
    decrypt,
    encrypt,
)
from practice.eventstore.models import StoredEvent, StreamHead
from practice.eventstore.table_rows import Projected, no_rows
from practice.eventstore.upserting import upsert
from practice.keys.canary import trial
from practice.keys.keystore import PRACTICE_SUBJECT, keystore

COLUMNS = tuple(Envelope._fields)
CHUNK = 2_000


@dataclass
class LockedHead:
    """Where a locked stream stands; ``position`` is one drawn for it under the lock."""

    stream: UUID
    version: int
    mac: bytes
    recorded_at: datetime | None
    starts_at_version: int
    position: int | None = None

    @property
    def columns(self) -> tuple[Any, ...]:
        """Its row: stream, version, mac, recorded_at, starts_at_version."""
        return self.stream, self.version, self.mac, self.recorded_at, self.starts_at_version


NewEvents = tuple[LockedHead, Sequence[RecordedEvent]]
"""A locked stream and the events to append to it."""


def lock_heads(streams: Iterable[UUID]) -> dict[UUID, LockedHead]:
    """Lock the heads of some streams, in sorted order so that two callers never deadlock.

    On SQLite the transaction is IMMEDIATE and the lock is held already. Raises
    Rejected (404) for a stream that does not exist.
    """
    wanted = sorted(set(streams))
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        rows = postgresql.lock_heads(wanted)
    else:
        rows = list(
            StreamHead.objects.filter(stream__in=wanted).values_list(
                "stream", "version", "mac", "recorded_at", "starts_at_version"
            )
        )
    heads = {row[0]: LockedHead(*row) for row in rows}
    if len(heads) < len(wanted):
        raise not_found("client")
    return heads


def create_head(stream: UUID) -> LockedHead:
    """The head of a new stream; its unique key refuses a second one."""
    StreamHead.objects.create(stream=stream)
    return LockedHead(stream, 0, b"", None, 1)


def take_positions(batches: Sequence[NewEvents]) -> Iterator[int]:
    """Positions for the events of all batches in turn, taken before the mac is computed.

    Where every stream gets one event, those drawn with the locks are used. Else all are drawn
    anew and the old ones fall away: a stream's positions rise with its versions.
    """
    drawn = [head.position for head, _ in batches]
    for head, _ in batches:
        head.position = None
    if all(len(events) == 1 for _, events in batches) and None not in drawn:
        return iter([position for position in drawn if position is not None])
    return iter(_draw_positions(sum(len(events) for _, events in batches)))


def _draw_positions(count: int) -> list[int]:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT nextval('eventstore_position') FROM generate_series(1, %s)", [count]
            )
            return [row[0] for row in cursor.fetchall()]
        cursor.execute(
            "INSERT INTO eventstore_positioncounter (id, value) VALUES (1, %s)"
            " ON CONFLICT (id) DO UPDATE SET value = eventstore_positioncounter.value + %s"
            " RETURNING value",
            [count, count],
        )
        last = cursor.fetchone()[0]
        return list(range(last - count + 1, last + 1))


def append(
    batches: Sequence[NewEvents], projected: Projected = no_rows
) -> list[list[RecordedEvent]]:
    """Append events to locked streams, move their heads and write the rows of read tables that
    ``projected`` makes of them, in one statement on PostgreSQL.

    Returns them by batch, with positions; no batch is empty. The unique key on
    (stream, version) is the truth; it is never worked around. Raises WrongKeysError.
    """
    if not batches:
        return []
    trial.pass_or_refuse()
    positions = take_positions(batches)
    rows: list[Envelope] = []
    placed: list[list[RecordedEvent]] = []
    for head, events in batches:
        numbered = [structs.replace(one, position=next(positions)) for one in events]
        placed.append(numbered)
        rows += _encrypted(head, numbered)
    heads = [head for head, _ in batches]
    beside = projected(placed)
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        postgresql.append(rows, [head.columns for head in heads], beside)
        return placed
    StoredEvent.objects.bulk_create(StoredEvent(**row._asdict()) for row in rows)
    for head in heads:
        StreamHead.objects.filter(stream=head.stream).update(
            version=head.version,
            mac=head.mac,
            recorded_at=head.recorded_at,
            starts_at_version=head.starts_at_version,
        )
    for model, own in beside:
        upsert(model, own)
    return placed


def _encrypted(head: LockedHead, events: Sequence[RecordedEvent]) -> list[Envelope]:
    """The rows of one stream, each chained to the one before; the head moves along."""
    # After the closing event of an erasure the stream goes on under the practice's own key.
    key = keystore.of(PRACTICE_SUBJECT if head.starts_at_version > 1 else head.stream)
    rows: list[Envelope] = []
    for recorded in events:
        row = encrypt(recorded, key, head.mac)
        head.version, head.mac, head.recorded_at = row.version, row.mac, row.recorded_at
        rows.append(row)
    return rows


def load(
    stream: UUID, *, types: Sequence[str] | None = None, start: int = 1
) -> list[RecordedEvent]:
    """The events of a stream in order, decrypted, filtered by type in the database.

    Rows of a type that this program does not know come along with any filter, so that
    a process too old for them fails instead of deciding without them. Raises
    KeyDestroyed after erasure and UnknownEventVersion for a row from the future.
    """
    return decrypt(stream, _rows(stream, types, start))


def load_sized(stream: UUID, *, types: Sequence[str], start: int) -> SizedEvents:
    """What ``load`` gives, with sizes."""
    return SizedEvents.of(stream, _rows(stream, types, start))


def load_since(
    stream: UUID, version: int, mac: bytes, *, types: Sequence[str]
) -> SizedEvents | None:
    """The events after a version, as ``load`` filters them; None where the row of that version,
    of whatever type, is not the one with this mac: the stream went another way."""
    rows = _rows_since(stream, version, types)
    if not rows or rows[0][VERSION] != version or bytes(rows[0][MAC]) != mac:
        return None
    return SizedEvents.of(stream, rows[1:])


def unwanted_types(types: Sequence[str] | None) -> list[str]:
    """The types that a load leaves out: those that the program knows and nobody asks for."""
    return [] if types is None else sorted(registry.by_name.keys() - set(types))


def _rows(stream: UUID, types: Sequence[str] | None, start: int) -> list[tuple[Any, ...]]:
    unwanted = unwanted_types(types)
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        return postgresql.load(stream, unwanted, start)
    found = StoredEvent.objects.filter(stream=stream, version__gte=start).order_by("version")
    if unwanted:
        found = found.exclude(type__in=unwanted)
    return list(found.values_list(*LOADED))


def _rows_since(stream: UUID, version: int, types: Sequence[str]) -> list[tuple[Any, ...]]:
    unwanted = unwanted_types(types)
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        return postgresql.load_since(stream, unwanted, version)
    found = StoredEvent.objects.filter(stream=stream, version__gte=version)
    found = found.filter(Q(version=version) | ~Q(type__in=unwanted)).order_by("version")
    return list(found.values_list(*LOADED, "mac"))


def load_versions(stream: UUID, versions: Sequence[int]) -> list[RecordedEvent]:
    """Some events of a stream, decrypted, in the order of the versions asked for. Raises as
    ``load`` does."""
    rows = StoredEvent.objects.filter(stream=stream, version__in=list(versions))
    found = {one.version: one for one in decrypt(stream, rows.values_list(*LOADED))}
    return [found[version] for version in versions]


def stored_streams(streams: Sequence[UUID]) -> dict[UUID, StoredStream]:
    """The rows of some streams with one query. Streams without events are left out."""
    rows: Iterable[tuple[Any, ...]]
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        rows = postgresql.load_streams(streams)
    else:
        found = StoredEvent.objects.filter(stream__in=streams).order_by("stream", "version")
        rows = found.values_list(*LOADED, "stream")
    by_stream = groupby(rows, key=itemgetter(len(LOADED)))
    stored = (StoredStream.of(as_uuid(name), list(own)) for name, own in by_stream)
    return {one.stream: one for one in stored}


def start_by_keys(firsts: Iterable[int]) -> int:
    """At which version the folding of a stream begins by the log itself, from the first version
    under each of its keys in order.

    1, or for a closed one the first event under another key than that of its first event: the
    practice's own; a third key moves nothing. What its head says must be the same.
    """
    return next((first for first in firsts if first > 1), 1)


class StoredStream(NamedTuple):
    """All rows of a stream, and at which version its folding begins by the log itself."""

    stream: UUID
    rows: list[tuple[Any, ...]]
    starts_at_version: int

    @classmethod
    def of(cls, stream: UUID, rows: list[tuple[Any, ...]]) -> StoredStream:
        """From the rows in order."""
        firsts: dict[UUID | bytes, int] = {}
        for row in rows:
            firsts.setdefault(row[KEY_ID], row[VERSION])
        return cls(stream, rows, start_by_keys(firsts.values()))

    def events(self) -> list[RecordedEvent]:
        """What is folded of it. Raises as ``load`` does."""
        return decrypt(
            self.stream, (row for row in self.rows if row[VERSION] >= self.starts_at_version)
        )


def every_row(stream: UUID | None = None) -> Iterator[ChainedRow]:
    """Every stored row, or those of a stream, as the chain binds it, by stream and version; in
    constant memory."""
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        yield from map(ChainedRow._make, postgresql.every_row(stream))
    else:
        found = StoredEvent.objects.order_by("stream", "version")
        if stream is not None:
            found = found.filter(stream=stream)
        for row in found.values_list(*COLUMNS).iterator(chunk_size=CHUNK):
            yield ChainedRow.of(Envelope._make(row))
