"""Runs projections: inline with every append, and in memory for a rebuild."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime
from functools import lru_cache
from typing import Any, cast
from uuid import UUID

import msgspec
from django.apps import apps
from django.db import models

from practice.core.appspec import installed
from practice.core.events import Event, RecordedEvent
from practice.core.projections import ProjectedRow, Projection
from practice.eventstore.table_rows import TableRows
from practice.work.models import ReadTable


def model_of(projection: Projection) -> type[ReadTable]:
    """The Django model that a projection keeps."""
    return cast("type[ReadTable]", apps.get_model(projection.name))


def columns(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    """The columns of a read table."""
    return list(model._meta.concrete_fields)


EXACT_TYPES: dict[str, type] = {
    "UUIDField": UUID,
    "CharField": str,
    "TextField": str,
    "DateTimeField": datetime,
    "DateField": date,
    "BooleanField": bool,
    "SmallIntegerField": int,
    "PositiveSmallIntegerField": int,
    "IntegerField": int,
    "PositiveIntegerField": int,
}
"""Values of just this type are stored and read back as they are."""


def database_row(model: type[models.Model], row: ProjectedRow) -> ProjectedRow:
    """A row with the values that the database would give back: what is compared and stored.

    What the row leaves out gets its default; a name that is no column is a TypeError.
    """
    made: ProjectedRow = {}
    for name, exact, field in _columns_of(model):
        value = row[name] if name in row else field.get_default()
        as_it_is = value is None or type(value) is exact
        made[name] = value if as_it_is else _plain_value(field, value)
    if not row.keys() <= made.keys():
        raise TypeError(f"{model.__name__} has no {', '.join(sorted(row.keys() - made.keys()))}")
    return made


@lru_cache(maxsize=256)
def _columns_of(
    model: type[models.Model],
) -> list[tuple[str, type | None, models.Field[Any, Any]]]:
    return [
        (field.attname, EXACT_TYPES.get(field.get_internal_type()), field)
        for field in columns(model)
    ]


def _plain_value(field: models.Field[Any, Any], value: Any) -> Any:
    if isinstance(field, models.JSONField):
        # By way of JSON: to_builtins leaves tuples, which the database gives back as lists.
        return msgspec.json.decode(msgspec.json.encode(value))
    if isinstance(value, str):
        return str.__str__(value)
    return field.to_python(value)


class MemoryRows:
    """The rows of one table and one stream, all in memory."""

    def __init__(self, client_id: UUID) -> None:
        self.client_id = client_id
        self.rows: dict[UUID, ProjectedRow] = {}
        self.version = 0

    def _find(self, key: UUID) -> ProjectedRow | None:
        return self.rows.get(key)

    def get(self, key: UUID) -> ProjectedRow | None:
        """A copy of a row, or None."""
        found = self._find(key)
        return dict(found) if found is not None else None

    def put(self, key: UUID, row: ProjectedRow) -> None:
        """Write a whole row."""
        self.rows[key] = {**row, "id": key, "client_id": self.client_id, "version": self.version}

    def change(self, key: UUID, **changes: Any) -> None:
        """Change some columns of a row, if it is there."""
        found = self._find(key)
        if found is not None:
            self.put(key, {**found, **changes})

    def delete(self, key: UUID) -> None:
        """Drop a row, if it is there."""
        if self._find(key) is not None:
            del self.rows[key]

    def all(self) -> Iterator[tuple[UUID, ProjectedRow]]:
        """Every row of the stream, in order of key."""
        for key in sorted(self.rows):
            yield key, dict(self.rows[key])


class DatabaseRows(MemoryRows):
    """The same over the database: rows are fetched as they are asked for and written at the end."""

    def __init__(self, model: type[ReadTable], client_id: UUID) -> None:
        super().__init__(client_id)
        self.model = model
        self.changed: set[UUID] = set()
        self.deleted: set[UUID] = set()
        self._seen: set[UUID] = set()
        self._all = False

    def _find(self, key: UUID) -> ProjectedRow | None:
        if key not in self.rows and key not in self._seen and not self._all:
            self._seen.add(key)
            for row in self._query().filter(pk=key):
                self.rows[key] = row
        return self.rows.get(key)

    def put(self, key: UUID, row: ProjectedRow) -> None:
        """Write a whole row."""
        super().put(key, row)
        self.changed.add(key)
        self.deleted.discard(key)

    def delete(self, key: UUID) -> None:
        """Drop a row, if it is there."""
        if self._find(key) is not None:
            super().delete(key)
            self.changed.discard(key)
            self.deleted.add(key)

    def all(self) -> Iterator[tuple[UUID, ProjectedRow]]:
        """Every row of the stream; one query."""
        if not self._all:
            self._all = True
            for row in self._query():
                if row["id"] not in self.deleted:
                    self.rows.setdefault(row["id"], row)
        yield from super().all()

    def _query(self) -> models.QuerySet[ReadTable, dict[str, Any]]:
        names = [field.attname for field in columns(self.model)]
        found: models.QuerySet[ReadTable, dict[str, Any]]
        found = self.model._default_manager.filter(client_id=self.client_id).values(*names)
        return found

    def to_write(self) -> list[ProjectedRow]:
        """Delete what went, in one statement; what changed, to be written."""
        if self.deleted:
            self.model._default_manager.filter(pk__in=self.deleted).delete()
        return [database_row(self.model, self.rows[key]) for key in sorted(self.changed)]


def run_projection(
    projection: Projection, rows: MemoryRows, events: Iterable[RecordedEvent]
) -> None:
    """Take a projection over events in order."""
    for recorded in events:
        rows.version = recorded.version
        projection.apply(rows, recorded)


def projected_rows(streams: Iterable[Sequence[RecordedEvent]]) -> list[TableRows]:
    """What events about to be appended, by stream, make of the read tables: the rows to write,
    each table once. Rows that go are deleted now."""
    takers = _takers(tuple(installed.projections.values()))
    made: dict[str, dict[UUID, ProjectedRow]] = {}
    for events in streams:
        tables = {table for one in events for table, _ in takers.get(type(one.data), ())}
        for table, projection in installed.projections.items():
            if table in tables:
                rows = DatabaseRows(model_of(projection), events[0].stream)
                run_projection(projection, rows, events)
                made.setdefault(table, {}).update((row["id"], row) for row in rows.to_write())
    return [
        (model_of(installed.projections[table]), list(rows.values()))
        for table, rows in made.items()
        if rows
    ]


def row_of_new_stream(
    model: type[ReadTable], events: list[RecordedEvent], key: UUID
) -> ProjectedRow:
    """The row that some events have just begun, as the database would give it back.

    For answers to commands: it saves asking for what was written a moment ago.
    """
    projection = installed.projections[model._meta.label]
    rows = MemoryRows(events[0].stream)
    run_projection(projection, rows, events)
    return database_row(model, rows.rows[key])


def replay_projections(
    client_id: UUID, events: list[RecordedEvent]
) -> dict[str, dict[UUID, ProjectedRow]]:
    """The rows of every read table that a stream's events stand for, in memory."""
    made: dict[str, MemoryRows] = {}
    takers = _takers(tuple(installed.projections.values()))
    for recorded in events:
        event = recorded.data
        for table, handler in takers.get(type(event), ()):
            rows = made.get(table)
            if rows is None:
                rows = made[table] = MemoryRows(client_id)
            rows.version = recorded.version
            handler(rows, event, recorded)
    plainly: dict[str, dict[UUID, ProjectedRow]] = {table: {} for table in installed.projections}
    for table, rows in made.items():
        model = model_of(installed.projections[table])
        plainly[table] = {key: database_row(model, row) for key, row in rows.rows.items()}
    return plainly


@lru_cache(maxsize=2)
def _takers(
    projections: tuple[Projection, ...],
) -> dict[type[Event], list[tuple[str, Callable[..., None]]]]:
    """For each class of event the tables that take it, and how."""
    takers: dict[type[Event], list[tuple[str, Callable[..., None]]]] = {}
    for projection in projections:
        for cls, handler in projection.handlers.items():
            takers.setdefault(cls, []).append((projection.name, handler))
    return takers
