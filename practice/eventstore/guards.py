"""Triggers that let rows into the log and never let them change or go.

So do the tables that are sealed in batches: the log of reads, the history of changes, the seals.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from django.core.checks import CheckMessage, Error
from django.db import DEFAULT_DB_ALIAS, connections

TABLES = (
    "eventstore_storedevent",
    "practice_accessentry",
    "practice_settingchange",
    "practice_batchseal",
)
REFUSAL = "the event log is append-only"

POSTGRESQL_FUNCTION = f"""
CREATE OR REPLACE FUNCTION eventstore_refuse() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '{REFUSAL}'; END $$;
"""
POSTGRESQL_INSTALL = """
DROP TRIGGER IF EXISTS eventstore_keep_rows ON {table};
CREATE TRIGGER eventstore_keep_rows BEFORE UPDATE OR DELETE ON {table}
FOR EACH ROW EXECUTE FUNCTION eventstore_refuse();
DROP TRIGGER IF EXISTS eventstore_keep_table ON {table};
CREATE TRIGGER eventstore_keep_table BEFORE TRUNCATE ON {table}
FOR EACH STATEMENT EXECUTE FUNCTION eventstore_refuse();
"""
POSTGRESQL_UNINSTALL = """
DROP TRIGGER IF EXISTS eventstore_keep_rows ON {table};
DROP TRIGGER IF EXISTS eventstore_keep_table ON {table};
"""
SQLITE_INSTALL = tuple(
    f"CREATE TRIGGER IF NOT EXISTS {{table}}_no_{verb} BEFORE {verb} ON {{table}}"
    f" BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
    for verb in ("UPDATE", "DELETE")
)
SQLITE_UNINSTALL = (
    "DROP TRIGGER IF EXISTS {table}_no_UPDATE",
    "DROP TRIGGER IF EXISTS {table}_no_DELETE",
)


def tables(using: str) -> list[str]:
    """The guarded tables that a database has."""
    present = set(connections[using].introspection.table_names())
    return [one for one in TABLES if one in present]


def install(using: str = DEFAULT_DB_ALIAS, **_: Any) -> None:
    """Install the guards; safe to repeat. Runs after every migrate, because a table
    remade on SQLite loses its triggers silently."""
    _run(using, (POSTGRESQL_INSTALL,), SQLITE_INSTALL)


def uninstall(using: str = DEFAULT_DB_ALIAS) -> None:
    """Take the guards away. Only for emptying a test database."""
    _run(using, (POSTGRESQL_UNINSTALL,), SQLITE_UNINSTALL)


def _run(using: str, postgresql: Sequence[str], sqlite: Sequence[str]) -> None:
    connection = connections[using]
    present = tables(using)
    if not present:
        return
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(POSTGRESQL_FUNCTION)
        for table in present:
            for statement in postgresql if connection.vendor == "postgresql" else sqlite:
                cursor.execute(statement.format(table=table))


@contextmanager
def without_guards(using: str = DEFAULT_DB_ALIAS) -> Iterator[None]:
    """The guards off for the block and on again after it, whatever happens in it."""
    uninstall(using)
    try:
        yield
    finally:
        install(using)


def unguarded(using: str = DEFAULT_DB_ALIAS) -> list[str]:
    """The tables that have lost a guard."""
    connection = connections[using]
    found = []
    with connection.cursor() as cursor:
        for table in tables(using):
            if connection.vendor == "postgresql":
                cursor.execute(
                    "SELECT count(*) FROM pg_trigger WHERE tgrelid = %s::regclass"
                    " AND NOT tgisinternal AND tgenabled <> 'D'",
                    [table],
                )
            else:
                cursor.execute(
                    "SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s",
                    [table],
                )
            if cursor.fetchone()[0] != 2:
                found.append(table)
    return found


def installed(using: str = DEFAULT_DB_ALIAS) -> bool:
    """Whether all guards stand."""
    return bool(tables(using)) and not unguarded(using)


def check_guards(
    app_configs: Any = None, databases: Sequence[str] | None = None, **_: Any
) -> list[CheckMessage]:
    """System check: the guards stand on every database that has the log."""
    return [
        Error(
            f"{table} has lost its append-only triggers.",
            hint="Run `python3 manage.py migrate`: it installs them again.",
            id="eventstore.E001",
        )
        for alias in databases or []
        for table in unguarded(alias)
    ]
