"""Makes the read tables again from the log, or compares them with it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db import connection, models, transaction

from practice.domain.decisions import parts
from practice.domain.projecting import Row
from practice.eventlog import store
from practice.eventlog.models import ReadTable, StreamHead
from practice.eventlog.projecting import columns, model_of, replay

Key = tuple[UUID, UUID]


@dataclass
class Rebuilt:
    """How much was rebuilt or compared, and every difference found, as sentences."""

    streams: int = 0
    events: int = 0
    rows: int = 0
    differences: list[str] = field(default_factory=list)


def streams() -> list[UUID]:
    """Every stream that has events."""
    found = StreamHead.objects.filter(version__gt=0).order_by("stream")
    return list(found.values_list("stream", flat=True))


def rebuild() -> Rebuilt:
    """Make every read table again, stream by stream under its head lock.

    Readers see the old rows of a client until hers are replaced, all at once.
    """
    done = Rebuilt()
    for stream in streams():
        with transaction.atomic(durable=True):
            head = store.lock_heads([stream])[stream]
            events = store.load(stream, start=head.starts_at_version)
            for table, rows in replay(stream, events).items():
                model = model_of(parts.projectors[table])
                model._default_manager.filter(client_id=stream).delete()
                insert(model, list(rows.values()))
                done.rows += len(rows)
        done.streams += 1
        done.events += len(events)
    return done


def insert(model: type[ReadTable], rows: list[Row]) -> None:
    """Insert rows in bulk: by COPY on PostgreSQL, through the ORM elsewhere."""
    if not rows:
        return
    if connection.vendor != "postgresql":
        model._default_manager.bulk_create(model(**row) for row in rows)
        return
    import psycopg

    fields = columns(model)
    names = ", ".join(connection.ops.quote_name(str(one.column)) for one in fields)
    table = connection.ops.quote_name(model._meta.db_table)
    with (
        psycopg.Cursor(connection.connection) as cursor,
        cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy,
    ):
        for row in rows:
            copy.write_row([_for_copy(one, row[one.attname]) for one in fields])


def _for_copy(field: models.Field[Any, Any], value: Any) -> Any:
    if isinstance(field, models.JSONField):
        return None if value is None and field.null else json.dumps(value)
    return value


def check() -> Rebuilt:
    """Compare every column of every read table with the log, both ways."""
    done = Rebuilt()
    known = set(streams())
    for stream in sorted(known):
        head = StreamHead.objects.get(stream=stream)
        events = store.load(stream, start=head.starts_at_version)
        for table, wanted in replay(stream, events).items():
            model = model_of(parts.projectors[table])
            present = stored_rows(model, stream)
            done.rows += len(present)
            done.differences += list(_compare(table, wanted, present))
        done.streams += 1
        done.events += len(events)
    for projector in parts.projectors.values():
        strangers = model_of(projector)._default_manager.exclude(client_id__in=known)
        done.differences += [
            f"{projector.table} {row.pk}: belongs to no stream" for row in strangers
        ]
    return done


def stored_rows(model: type[ReadTable], stream: UUID) -> dict[UUID, Row]:
    """The rows of a read table that belong to a stream, by primary key."""
    names = [one.attname for one in columns(model)]
    found = model._default_manager.filter(client_id=stream).values(*names)
    return {row["id"]: row for row in found}


def _compare(table: str, wanted: dict[UUID, Row], present: dict[UUID, Row]) -> Iterator[str]:
    for key in sorted(wanted.keys() | present.keys()):
        if key not in present:
            yield f"{table} {key}: missing from the table"
        elif key not in wanted:
            yield f"{table} {key}: not in the log"
        else:
            for column, value in wanted[key].items():
                if present[key][column] != value:
                    yield f"{table} {key}: column {column} differs from the log"
