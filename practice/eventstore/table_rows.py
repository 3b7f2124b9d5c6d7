"""Writing rows of read tables, which stand beside the log."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from django.db import connection, models

from practice.core.events import RecordedEvent

TableRows = tuple[type[models.Model], Sequence[dict[str, Any]]]
"""A read table and whole rows of it, each key once; their values are those that the database
gives back (``database_row``)."""

Projected = Callable[[Sequence[Sequence[RecordedEvent]]], Sequence[TableRows]]
"""The rows that events, by stream, have just made."""


def no_rows(_events: Sequence[Sequence[RecordedEvent]]) -> Sequence[TableRows]:
    """For events whose read tables are made later, all at once."""
    return ()


def upsert(model: type[models.Model], rows: Sequence[dict[str, Any]]) -> None:
    """Write whole rows, new or changed, in as few statements as can be."""
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        postgresql.upsert(model, rows)
        return
    columns = [one.attname for one in model._meta.concrete_fields if not one.primary_key]
    model._default_manager.bulk_create(
        [model(**row) for row in rows],
        update_conflicts=True,
        unique_fields=["id"],
        update_fields=columns,
    )
