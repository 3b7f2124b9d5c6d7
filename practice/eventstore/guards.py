"""Triggers that let rows into the log and never let them change or go."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from django.core.checks import CheckMessage, Error
from django.db import DEFAULT_DB_ALIAS, connections

TABLE = "eventstore_storedevent"
REFUSAL = "the event log is append-only"

POSTGRESQL_INSTALL = f"""
CREATE OR REPLACE FUNCTION eventstore_refuse() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '{REFUSAL}'; END $$;
DROP TRIGGER IF EXISTS eventstore_keep_rows ON {TABLE};
CREATE TRIGGER eventstore_keep_rows BEFORE UPDATE OR DELETE ON {TABLE}
FOR EACH ROW EXECUTE FUNCTION eventstore_refuse();
DROP TRIGGER IF EXISTS eventstore_keep_table ON {TABLE};
CREATE TRIGGER eventstore_keep_table BEFORE TRUNCATE ON {TABLE}
FOR EACH STATEMENT EXECUTE FUNCTION eventstore_refuse();
"""
POSTGRESQL_UNINSTALL = f"""
DROP TRIGGER IF EXISTS eventstore_keep_rows ON {TABLE};
DROP TRIGGER IF EXISTS eventstore_keep_table ON {TABLE};
"""
SQLITE_INSTALL = tuple(
    f"CREATE TRIGGER IF NOT EXISTS eventstore_no_{verb.lower()} BEFORE {verb} ON {TABLE}"
    f" BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
    for verb in ("UPDATE", "DELETE")
)
SQLITE_UNINSTALL = tuple(
    f"DROP TRIGGER IF EXISTS eventstore_no_{verb}" for verb in ("update", "delete")
)


def install(using: str = DEFAULT_DB_ALIAS, **_: Any) -> None:
    """Install the guards; safe to repeat. Runs after every migrate, because a table
    remade on SQLite loses its triggers silently."""
    connection = connections[using]
    if TABLE not in connection.introspection.table_names():
        return
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(POSTGRESQL_INSTALL)
        else:
            for statement in SQLITE_INSTALL:
                cursor.execute(statement)


def uninstall(using: str = DEFAULT_DB_ALIAS) -> None:
    """Take the guards away. Only for emptying a test database."""
    connection = connections[using]
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(POSTGRESQL_UNINSTALL)
        else:
            for statement in SQLITE_UNINSTALL:
                cursor.execute(statement)


@contextmanager
def without_guards(using: str = DEFAULT_DB_ALIAS) -> Iterator[None]:
    """The guards off for the block and on again after it, whatever happens in it."""
    uninstall(using)
    try:
        yield
    finally:
        install(using)


def installed(using: str = DEFAULT_DB_ALIAS) -> bool:
    """Whether both guards stand."""
    connection = connections[using]
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT count(*) FROM pg_trigger WHERE tgrelid = %s::regclass AND NOT tgisinternal",
                [TABLE],
            )
        else:
            cursor.execute(
                "SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s",
                [TABLE],
            )
        return bool(cursor.fetchone()[0] == 2)


def check_guards(
    app_configs: Any = None, databases: Sequence[str] | None = None, **_: Any
) -> list[CheckMessage]:
    """System check: the log's guards stand on every database that has the log."""
    problems: list[CheckMessage] = []
    for alias in databases or []:
        present = TABLE in connections[alias].introspection.table_names()
        if present and not installed(alias):
            problems.append(
                Error(
                    "The event log has lost its append-only triggers.",
                    hint="Run `python3 manage.py migrate`: it installs them again.",
                    id="eventstore.E001",
                )
            )
    return problems
