"""The log's statements on PostgreSQL: few, prepared once a connection, answered in binary.

Django's own cursor writes values into the text of a statement and reads text back; the
driver's does neither. On a stream of 200 events that was half the time of a command.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from typing import Any
from uuid import UUID

import psycopg
from django.db import DEFAULT_DB_ALIAS, connection, connections, models, transaction

from practice.eventstore.envelope import Envelope
from practice.eventstore.models import StoredEvent
from practice.eventstore.table_rows import TableRows

EVENTS = "eventstore_storedevent"
COLUMNS = ", ".join(Envelope._fields)
# The position is drawn outside the inner query: only after the lock was had. A stream's
# positions therefore rise with its versions.
LOCK = (
    "SELECT stream, version, mac, recorded_at, starts_at_version, nextval('eventstore_position')"
    " FROM (SELECT stream, version, mac, recorded_at, starts_at_version FROM eventstore_streamhead"
    " WHERE stream = ANY(%s) ORDER BY stream FOR UPDATE) AS head"
)
# Ids come as bytes: the same few repeat in every row, and a UUID is slow to make. So is a moment:
# that of what was recorded as it happened comes once.
LOADED = (
    "position, version, type, type_version, nullif(occurred_at, recorded_at), recorded_at,"
    " uuid_send(actor), request_id, uuid_send(key_id), ciphertext"
)
# The names go into a hash once a statement. As "<> ALL" a prepared statement compares each row with
# each of more than a hundred names: that took longer than all the rest of a long stream's read.
WANTED = "type NOT IN (SELECT unnest(%s::text[]))"
LOAD = (
    f"SELECT {LOADED} FROM {EVENTS} WHERE stream = %s AND version >= %s"
    f" AND {WANTED} ORDER BY version"
)
LOAD_STREAMS = (
    f"SELECT {LOADED}, uuid_send(stream) FROM {EVENTS} WHERE stream = ANY(%s)"
    " ORDER BY stream, version"
)
LOAD_SINCE = (
    f"SELECT {LOADED}, mac FROM {EVENTS} WHERE stream = %s AND version >= %s"
    f" AND (version = %s OR {WANTED}) ORDER BY version"
)
LOAD_UNTIL = (
    f"SELECT {LOADED}, mac FROM {EVENTS} WHERE stream = %s AND version BETWEEN %s AND %s"
    f" AND (version = %s OR {WANTED}) ORDER BY version"
)
# The columns as the chain binds them (``ChainedRow``): to make UUIDs and datetimes of them took
# longer than to fetch them.
CHAINED = (
    "position, uuid_send(stream), version, type, type_version,"
    " (extract(epoch FROM occurred_at) * 1000000)::bigint,"
    " (extract(epoch FROM recorded_at) * 1000000)::bigint,"
    " uuid_send(actor), request_id, uuid_send(key_id), ciphertext, mac_key_id, mac"
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
PART = 1_000
"""Versions of a stream that are read at a time."""
CHUNK = 2_000
FETCH = f"FETCH {CHUNK} FROM every_row"
MANY_ROWS = 1_000
"""More are copied in: a row has 13 values."""
MOST_VALUES = 65_535
"""Of one statement: the protocol of PostgreSQL counts them in 16 bits."""
MOST_BESIDE = 40_000
"""Values of read tables beside events: those of ``MANY_ROWS`` events and their heads are 18,000."""


def run(sql: str, params: Sequence[Any]) -> list[tuple[Any, ...]]:
    """Execute one statement on the driver's own cursor; its rows. Raises Django's errors."""
    used = connections[DEFAULT_DB_ALIAS]  # "connection" would look it up with each word.
    used.ensure_connection()
    with used.wrap_database_errors, psycopg.Cursor(used.connection) as cursor:
        cursor.execute(sql, params, binary=True)
        # Not "description", which describes each column.
        return [] if cursor.rownumber is None else cursor.fetchall()


def lock_heads(streams: Sequence[UUID]) -> list[tuple[Any, ...]]:
    """Lock heads in sorted order; their columns and, for each, a position to use."""
    return run(LOCK, [list(streams)])


def load(stream: UUID, unwanted: Sequence[str], start: int) -> list[tuple[Any, ...]]:
    """The rows of a stream, but for some types, as the envelope's reader takes them."""
    return run(LOAD, [stream, start, list(unwanted)])


def load_streams(streams: Sequence[UUID]) -> list[tuple[Any, ...]]:
    """The rows of some streams by stream and version, each with the bytes of its stream last."""
    return run(LOAD_STREAMS, [list(streams)])


def load_since(stream: UUID, unwanted: Sequence[str], version: int) -> list[tuple[Any, ...]]:
    """The row of a version, of whatever type, and those after it; each with its mac."""
    return run(LOAD_SINCE, [stream, version, version, list(unwanted)])


def load_until(
    stream: UUID, unwanted: Sequence[str], start: int, version: int
) -> Iterator[list[tuple[Any, ...]]]:
    """The rows of a stream up to a version, but for some types, and that of the version itself,
    of whatever type; each with its mac.

    A long stream comes in parts: the next one is asked for before the last is looked at, and the
    server makes it ready meanwhile.
    """
    firsts = range(start, version + 1, PART)
    if len(firsts) < 2:
        yield run(LOAD_UNTIL, [stream, start, version, version, list(unwanted)])
        return
    used = connections[DEFAULT_DB_ALIAS]
    used.ensure_connection()
    with (
        used.wrap_database_errors,
        used.connection.pipeline(),
        psycopg.Cursor(used.connection) as cursor,
    ):
        rows: list[tuple[Any, ...]] = []
        for first in firsts:
            last = min(first + PART - 1, version)
            part = [stream, first, last, version, list(unwanted)]
            cursor.execute(LOAD_UNTIL, part, binary=True)
            if first > start:
                yield rows
            rows = cursor.fetchall()
        yield rows


def append(
    rows: Sequence[Envelope], heads: Sequence[tuple[Any, ...]], beside: Sequence[TableRows] = ()
) -> None:
    """Write the rows of some streams, move their heads and write rows of read tables, in one
    statement: each is a round trip of every command. Many rows go by COPY.

    ``heads``: stream, version, mac, recorded_at, starts_at_version of each.
    """
    if sum(len(some) * len(some[0]) for _, some in beside) > MOST_BESIDE:
        for model, some in beside:
            upsert(model, some)
        beside = ()
    moved = MOVE_HEADS.format(heads=", ".join([HEAD] * len(heads)))
    params = [value for head in heads for value in head]
    for number, (model, some) in enumerate(beside):
        sql, values = _upserted(model, some)
        moved += f", written_{number} AS ({sql})"
        params += values
    if len(rows) > MANY_ROWS:
        insert(StoredEvent, (row._asdict() for row in rows))
        run(f"{moved} SELECT", params)
        return
    params += [value for row in rows for value in row]
    places = ", ".join([ROW] * len(rows))
    run(f"{moved} INSERT INTO {EVENTS} ({COLUMNS}) VALUES {places}", params)


Columns = list[tuple[str, Callable[..., Any] | None]]
"""The columns of a model by name, each with what makes a value of it ready to be sent; None where
it is sent as it is."""


def _columns(model: type[models.Model]) -> Columns:
    return [
        (one.attname, one.get_db_prep_save if isinstance(one, models.JSONField) else None)
        for one in model._meta.concrete_fields
    ]


def _values(row: dict[str, Any], columns: Columns) -> list[Any]:
    return [row[name] if prep is None else prep(row[name], connection) for name, prep in columns]


@lru_cache(maxsize=256)
def _upsert(model: type[models.Model]) -> tuple[str, str, str, Columns]:
    """Beginning, one row and end of the statement that writes rows of a model."""
    quote = connection.ops.quote_name
    columns = _columns(model)
    names = [quote(str(one.column)) for one in model._meta.concrete_fields]
    changes = [f"{quoted} = excluded.{quoted}" for quoted in names if quoted != quote("id")]
    return (
        f"INSERT INTO {quote(model._meta.db_table)} ({', '.join(names)}) VALUES ",
        f"({', '.join(['%s'] * len(columns))})",
        f" ON CONFLICT (id) DO UPDATE SET {', '.join(changes)}",
        columns,
    )


def upsert(model: type[models.Model], rows: Sequence[dict[str, Any]]) -> None:
    """Write whole rows of a read table, new or changed, in as few statements as can be."""
    at_once = MOST_VALUES // len(model._meta.concrete_fields)
    for first in range(0, len(rows), at_once):
        run(*_upserted(model, rows[first : first + at_once]))


def _upserted(model: type[models.Model], rows: Sequence[dict[str, Any]]) -> tuple[str, list[Any]]:
    """The statement that writes rows of a model, and its values."""
    beginning, places, end, columns = _upsert(model)
    values = [value for row in rows for value in _values(row, columns)]
    return beginning + ", ".join([places] * len(rows)) + end, values


@lru_cache(maxsize=256)
def _copy(model: type[models.Model]) -> tuple[str, list[str], Columns]:
    """The statement that copies rows of a model in, the types of its columns, and these."""
    quote, fields = connection.ops.quote_name, model._meta.concrete_fields
    names = ", ".join(quote(str(one.column)) for one in fields)
    types = [str(one.db_type(connection)).partition("(")[0] for one in fields]
    table = quote(model._meta.db_table)
    return f"COPY {table} ({names}) FROM STDIN (FORMAT binary)", types, _columns(model)


def insert(model: type[models.Model], rows: Iterable[dict[str, Any]]) -> None:
    """Insert rows by COPY, in binary: as text, ids and times are written and read for longer
    than a row is stored."""
    sql, types, columns = _copy(model)
    with (
        connection.wrap_database_errors,
        psycopg.Cursor(connection.connection) as cursor,
        cursor.copy(sql) as copy,
    ):
        copy.set_types(types)
        for row in rows:
            copy.write_row(_values(row, columns))


def delete(model: type[models.Model], keys: Sequence[UUID]) -> None:
    """Delete rows by primary key."""
    table = connection.ops.quote_name(model._meta.db_table)
    run(f"DELETE FROM {table} WHERE id = ANY(%s)", [list(keys)])


def rows_of(model: type[models.Model], streams: Iterable[UUID]) -> Iterator[dict[str, Any]]:
    """The rows of a read table that belong to some streams."""
    quote, fields = connection.ops.quote_name, model._meta.concrete_fields
    columns = ", ".join(quote(str(one.column)) for one in fields)
    table = quote(model._meta.db_table)
    names = [one.attname for one in fields]
    sql = f"SELECT {columns} FROM {table} WHERE client_id = ANY(%s)"
    return (dict(zip(names, row, strict=True)) for row in run(sql, [list(streams)]))


def every_row(stream: UUID | None = None) -> Iterator[tuple[Any, ...]]:
    """Every row of the log, or of a stream, as the chain binds it, by stream and version; in
    constant memory."""
    where, params = ("", []) if stream is None else (" WHERE stream = %s", [stream])
    declared = f"DECLARE every_row CURSOR FOR SELECT {CHAINED} FROM {EVENTS}{where}"
    with (
        transaction.atomic(),
        connection.wrap_database_errors,
        connection.connection.pipeline(),
        psycopg.Cursor(connection.connection) as cursor,
    ):
        cursor.execute(f"{declared} ORDER BY stream, version", params)
        # The next rows are asked for before the last are looked at: the server makes them ready
        # meanwhile.
        cursor.execute(FETCH, binary=True)
        while rows := cursor.fetchall():
            cursor.execute(FETCH, binary=True)
            yield from rows
        cursor.execute("CLOSE every_row")
