"""Writing rows of read tables on either engine."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db import connection, models


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
