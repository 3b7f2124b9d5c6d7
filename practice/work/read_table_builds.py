"""Which read tables the program would make otherwise than their rows were made: a rebuild is due.

A column that a read table has gained is empty in the rows from before, and a query that asks for
it leaves them out without a word. So each table keeps which columns it had, and which version
its projection was of, when all its rows were last made.
"""

from __future__ import annotations

import sys
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections

from practice.clock import clock
from practice.core.appspec import installed
from practice.core.projections import Projection
from practice.eventstore.models import StreamHead
from practice.work.models import ReadTableBuild
from practice.work.projection_runner import columns, model_of

HOW = "Run `python3 manage.py rebuild`."


def rebuilds_due(using: str = DEFAULT_DB_ALIAS) -> list[str]:
    """The read tables whose rows are to be made again, each with why, in order of name."""
    built = {one.table: one for one in ReadTableBuild.objects.using(using).all()}
    found = [
        f"{one.name} ({why})"
        for one in installed.projections.values()
        if (why := _why_due(one, built.get(one.name)))
    ]
    return sorted(found)


def _why_due(projection: Projection, built: ReadTableBuild | None) -> str:
    if built is None:
        return "its rows were never made as a whole"
    if gained := [one for one in column_names(projection) if one not in built.columns]:
        return f"older rows lack {', '.join(gained)}"
    if built.version != projection.version:
        return "its rows are made in another way now"
    return ""


def column_names(projection: Projection) -> list[str]:
    """The columns of a projection's table, in order of name."""
    return sorted(one.attname for one in columns(model_of(projection)))


def all_rows_made(using: str = DEFAULT_DB_ALIAS) -> None:
    """Keep that all rows of all read tables are as this program makes them."""
    builds = ReadTableBuild.objects.using(using)
    builds.exclude(table__in=installed.projections).delete()
    builds.bulk_create(
        [
            ReadTableBuild(
                table=one.name,
                version=one.version,
                columns=column_names(one),
                built_at=clock.now(),
            )
            for one in installed.projections.values()
        ],
        update_conflicts=True,
        unique_fields=["table"],
        update_fields=["version", "columns", "built_at"],
    )


def after_migrate(
    *, using: str = DEFAULT_DB_ALIAS, verbosity: int = 1, stdout: Any = None, **_: Any
) -> None:
    """Say which rebuilds are due; a log without events needs none, whatever comes later."""
    if using != DEFAULT_DB_ALIAS or not _tables_are_there(using):
        return
    if not StreamHead.objects.using(using).filter(version__gt=0).exists():
        all_rows_made(using)
    elif (due := rebuilds_due(using)) and verbosity:
        lines = ["A rebuild is due:", *(f"  {one}" for one in due), HOW]
        (stdout or sys.stdout).write("\n".join(lines) + "\n")


def _tables_are_there(using: str) -> bool:
    """False while only other apps are migrated."""
    names = connections[using].introspection.table_names()
    return {ReadTableBuild._meta.db_table, StreamHead._meta.db_table} <= set(names)
