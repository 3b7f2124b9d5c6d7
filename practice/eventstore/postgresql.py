"""The log's statements on PostgreSQL: few, prepared once a connection, answered in binary.

Django's own cursor writes values into the text of a statement and reads text back; the
driver's does neither. On a stream of 200 events that was half the time of a command.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any
from uuid import UUID

import psycopg
from django.db import connection, models, transaction

from practice.eventstore.envelope import Envelope

EVENTS = "eventstore_storedevent"
COLUMNS = ", ".join(Envelope._fields)
# The position is drawn outside the inner query: only after the lock was had. A stream's
# positions therefore rise with its versions.
LOCK = (
    "SELECT stream, version, mac, recorded_at, starts_at_version, nextval('eventstore_position')"
    " FROM (SELECT stream, version, mac, recorded_at, starts_at_version FROM eventstore_streamhead"
    " WHERE stream = ANY(%s) ORDER BY stream FOR UPDATE) AS head"
)
# Ids come as bytes: the same few repeat in every row, and a UUID is slow to make.
LOADED = (
    "position, version, type, type_version, occurred_at, recorded_at, uuid_send(actor),"
    " request_id, uuid_send(key_id), ciphertext"
)
LOAD = f"SELECT {LOADED} FROM {EVENTS} WHERE stream = %s AND version >= %s"
LOAD_SINCE = (
    f"SELECT {LOADED}, mac FROM {EVENTS} WHERE stream = %s AND version >= %s"
    " AND (version = %s OR type <> ALL(%s)) ORDER BY version"
)
# Every head that is appended to moves in the statement that writes the events.
MOVE_HEADS = (
    "WITH moved AS (UPDATE eventstore_streamhead AS head SET version = new.version,"
    " mac = new.mac, recorded_at = new.recorded_at, starts_at_version = new.starts_at_version"
    " FROM (VALUES {heads}) AS new (stream, version, mac, recorded_at, starts_at_version)"
    " WHERE head.stream = new.stream)"
)
HEAD = "(%s::uuid, %s::integer, %b::bytea, %s::timestamptz, %s::integer)"
ROW = "(%s, %s, %s, %s, %s, %s, %s, %s, %s, %s, %b, %s, %b)"
CHUNK = 2_000


def run(sql: str, params: Sequence[Any]) -> list[tuple[Any, ...]]:
    """Execute one statement on the driver's own cursor; its rows. Raises Django's errors."""
    connection.ensure_connection()
    with connection.wrap_database_errors, psycopg.Cursor(connection.connection) as cursor:
        cursor.execute(sql, params, binary=True)
        return cursor.fetchall() if cursor.description else []


def lock_heads(streams: Sequence[UUID]) -> list[tuple[Any, ...]]:
    """Lock heads in sorted order; their columns and, for each, a position to use."""
    return run(LOCK, [list(streams)])


def load(stream: UUID, unwanted: Sequence[str], start: int) -> list[tuple[Any, ...]]:
    """The rows of a stream, but for some types, as the envelope's reader takes them."""
    if unwanted:
        sql = f"{LOAD} AND type <> ALL(%s) ORDER BY version"
        return run(sql, [stream, start, list(unwanted)])
    return run(f"{LOAD} ORDER BY version", [stream, start])


def load_since(stream: UUID, unwanted: Sequence[str], version: int) -> list[tuple[Any, ...]]:
    """The row of a version, of whatever type, and those after it; each with its mac."""
    return run(LOAD_SINCE, [stream, version, version, list(unwanted)])


def append(rows: Sequence[Envelope], heads: Sequence[tuple[Any, ...]]) -> None:
    """Write the rows of some streams and move their heads, in one statement.

    ``heads``: stream, version, mac, recorded_at, starts_at_version of each.
    """
    params = [value for row in (*heads, *rows) for value in row]
    moved = MOVE_HEADS.format(heads=", ".join([HEAD] * len(heads)))
    places = ", ".join([ROW] * len(rows))
    run(f"{moved} INSERT INTO {EVENTS} ({COLUMNS}) VALUES {places}", params)


@lru_cache(maxsize=256)
def _upsert(model: type[models.Model]) -> tuple[str, str, str, tuple[models.Field[Any, Any], ...]]:
    """Beginning, one row and end of the statement that writes rows of a model."""
    quote = connection.ops.quote_name
    fields = tuple(model._meta.concrete_fields)
    names = [quote(str(one.column)) for one in fields]
    changes = [f"{quoted} = excluded.{quoted}" for quoted in names if quoted != quote("id")]
    return (
        f"INSERT INTO {quote(model._meta.db_table)} ({', '.join(names)}) VALUES ",
        f"({', '.join(['%s'] * len(fields))})",
        f" ON CONFLICT (id) DO UPDATE SET {', '.join(changes)}",
        fields,
    )


def upsert(model: type[models.Model], rows: Sequence[dict[str, Any]]) -> None:
    """Write whole rows of a read table, new or changed, in one statement."""
    beginning, places, end, fields = _upsert(model)
    params = [one.get_db_prep_save(row[one.attname], connection) for row in rows for one in fields]
    run(beginning + ", ".join([places] * len(rows)) + end, params)


def insert(model: type[models.Model], rows: Sequence[dict[str, Any]]) -> None:
    """Insert rows by COPY."""
    quote, fields = connection.ops.quote_name, model._meta.concrete_fields
    names = ", ".join(quote(str(one.column)) for one in fields)
    table = quote(model._meta.db_table)
    columns = [
        (one.attname, one.get_db_prep_save if isinstance(one, models.JSONField) else None)
        for one in fields
    ]
    with (
        connection.wrap_database_errors,
        psycopg.Cursor(connection.connection) as cursor,
        cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy,
    ):
        for row in rows:
            copy.write_row(
                [
                    row[name] if prep is None else prep(row[name], connection)
                    for name, prep in columns
                ]
            )


def every_row(stream: UUID | None = None) -> Iterator[tuple[Any, ...]]:
    """Every row of the log, or of a stream, by stream and version, in constant memory."""
    where, params = ("", []) if stream is None else (" WHERE stream = %s", [stream])
    sql = f"SELECT {COLUMNS} FROM {EVENTS}{where} ORDER BY stream, version"
    with (
        transaction.atomic(),
        connection.wrap_database_errors,
        psycopg.ServerCursor(connection.connection, "every_row") as cursor,
    ):
        cursor.itersize = CHUNK
        cursor.execute(sql, params, binary=True)
        while rows := cursor.fetchmany(CHUNK):
            yield from rows
