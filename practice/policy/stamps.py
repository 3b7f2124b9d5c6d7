"""Triggers that set a new stamp with every change of the practice's own rows.

Processes keep what they read of these rows for as long as the stamp is the same
(``practice/work/request_cache.py``), whoever changed them and by what means.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.core.checks import CheckMessage, Error
from django.db import DEFAULT_DB_ALIAS, connections

from practice.policy.row_seals import sealed_tables
from practice.work.models import PracticeStamp

NAME = "practice_rows_changed"
POSTGRESQL_FUNCTION = """
CREATE OR REPLACE FUNCTION practice_rows_changed() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN UPDATE practice_practicestamp SET stamp = gen_random_uuid()::text; RETURN NULL; END $$;
"""
POSTGRESQL_INSTALL = (
    "DROP TRIGGER IF EXISTS practice_rows_changed ON {table}",
    (
        "CREATE TRIGGER practice_rows_changed AFTER INSERT OR UPDATE OR DELETE OR TRUNCATE"
        " ON {table} FOR EACH STATEMENT EXECUTE FUNCTION practice_rows_changed()"
    ),
)
SQLITE_VERBS = ("INSERT", "UPDATE", "DELETE")
SQLITE_INSTALL = (
    "DROP TRIGGER IF EXISTS practice_rows_changed_{table}_{verb}",
    (
        "CREATE TRIGGER practice_rows_changed_{table}_{verb} AFTER {verb} ON {table} BEGIN"
        " UPDATE practice_practicestamp SET stamp = lower(hex(randomblob(16))); END"
    ),
)
FIRST = {
    "postgresql": "INSERT INTO practice_practicestamp (id, stamp)"
    " VALUES (1, gen_random_uuid()::text) ON CONFLICT DO NOTHING",
    "sqlite": "INSERT INTO practice_practicestamp (id, stamp)"
    " VALUES (1, lower(hex(randomblob(16)))) ON CONFLICT DO NOTHING",
}


def stamped_tables() -> list[str]:
    """The practice's tables, those of their lists and of their sets of rows."""
    found: set[str] = set()
    for model in sealed_tables():
        found.add(model._meta.db_table)
        lists = (getattr(model, name).field.model for name in getattr(model, "LISTS", ()))
        found |= {one._meta.db_table for one in lists}
        many = (getattr(model, one.name).through for one in model._meta.many_to_many)
        found |= {one._meta.db_table for one in many}
    return sorted(found)


def install(using: str = DEFAULT_DB_ALIAS, **_: Any) -> None:
    """Install the triggers that are missing and the first stamp; safe to repeat. Runs after
    every migrate, because a table remade on SQLite loses its triggers silently."""
    connection = connections[using]
    if PracticeStamp._meta.db_table not in connection.introspection.table_names():
        return
    missing = unstamped(using)
    with connection.cursor() as cursor:
        if missing and connection.vendor == "postgresql":
            cursor.execute(POSTGRESQL_FUNCTION)
        for table in missing:
            if connection.vendor == "postgresql":
                for statement in POSTGRESQL_INSTALL:
                    cursor.execute(statement.format(table=table))
            else:
                for verb in SQLITE_VERBS:
                    for statement in SQLITE_INSTALL:
                        cursor.execute(statement.format(table=table, verb=verb))
        cursor.execute(FIRST[connection.vendor])


def check_stamps(
    app_configs: Any = None, databases: Sequence[str] | None = None, **_: Any
) -> list[CheckMessage]:
    """System check: no table of the practice changes unseen by the processes that keep it."""
    return [
        Error(
            f"{table} has lost its triggers: its changes would not be seen by other processes.",
            hint="Run `python3 manage.py migrate`: it installs them again.",
            id="practice.E003",
        )
        for alias in databases or []
        for table in unstamped(alias)
    ]


def unstamped(using: str = DEFAULT_DB_ALIAS) -> list[str]:
    """The tables, of those that a database has, whose changes would set no new stamp."""
    connection = connections[using]
    present = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT tgrelid::regclass::text, 3 FROM pg_trigger"
                " WHERE tgname = %s AND tgenabled <> 'D'",
                [NAME],
            )
        else:
            cursor.execute(
                "SELECT tbl_name, count(*) FROM sqlite_master"
                " WHERE type = 'trigger' AND name LIKE %s GROUP BY tbl_name",
                [f"{NAME}%"],
            )
        whole = {table for table, count in cursor.fetchall() if count == len(SQLITE_VERBS)}
    return [one for one in stamped_tables() if one in present and one not in whole]
