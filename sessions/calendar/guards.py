"""No one in two places: the database's own guard behind the locked check.

Exclusion constraints on PostgreSQL (with btree_gist), aborting triggers on SQLite,
for practitioner, room and client. Only booked and arrived sessions hold a time; an
overlap that happened (a late entry) is kept and flagged, so the guard lets it pass.
The places of one class share its practitioner and its room.
Installed by a migration and again after every migrate, since a table that is remade
on SQLite loses its triggers silently.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from django.core.checks import CheckMessage, Error
from django.db import DEFAULT_DB_ALIAS, connections

TABLE = "client_sessions_session"
GUARDS = {
    "session_practitioner_free": "practitioner",
    "session_room_free": "room",
    "session_client_free": "client",
}
HOLDS = "{row}status IN ('booked', 'arrived') AND NOT {row}late_entry"


OTHER = "COALESCE({row}class_id, {row}id)"
"""What tells a session from one that it may stand beside: its class, or itself."""
SHARED = ("practitioner", "room")


def _column(kind: str) -> str:
    return f"{kind}_id"


def _other(kind: str, row: str = "") -> str:
    return OTHER.format(row=row) if kind in SHARED else f"{row}id"


def _postgresql_install() -> Iterator[str]:
    yield "CREATE EXTENSION IF NOT EXISTS btree_gist"
    for name, kind in GUARDS.items():
        yield (
            "DO $$ BEGIN IF NOT EXISTS"  # noqa: S608  names of this module only
            f" (SELECT 1 FROM pg_constraint WHERE conname = '{name}') THEN"
            f" ALTER TABLE {TABLE} ADD CONSTRAINT {name} EXCLUDE USING gist"
            f" ({_column(kind)} WITH =, tstzrange(starts_at, ends_at) WITH &&,"
            f" ({_other(kind)}) WITH <>)"
            f" WHERE ({HOLDS.format(row='')}); END IF; END $$"
        )


def _sqlite_install() -> Iterator[str]:
    for name, kind in GUARDS.items():
        for verb in ("INSERT", "UPDATE"):
            yield (
                f"CREATE TRIGGER IF NOT EXISTS {name}_{verb.lower()}"  # noqa: S608  likewise
                f" BEFORE {verb} ON {TABLE}"
                f" WHEN {HOLDS.format(row='NEW.')} AND EXISTS (SELECT 1 FROM {TABLE} AS other"
                f" WHERE other.{_column(kind)} = NEW.{_column(kind)}"
                f" AND {_other(kind, 'other.')} <> {_other(kind, 'NEW.')}"
                f" AND {HOLDS.format(row='other.')}"
                f" AND other.starts_at < NEW.ends_at AND NEW.starts_at < other.ends_at)"
                f" BEGIN SELECT RAISE(ABORT, '{name}'); END"
            )


def install_session_guards(using: str = DEFAULT_DB_ALIAS, **_: Any) -> None:
    """Install the guards where the table is as they speak of it; safe to repeat."""
    connection = connections[using]
    if not _ready(using):
        return
    postgresql = connection.vendor == "postgresql"
    with connection.cursor() as cursor:
        for statement in _postgresql_install() if postgresql else _sqlite_install():
            cursor.execute(statement)


def _ready(using: str) -> bool:
    """Whether the table is there as today's migrations leave it: an earlier one has no classes."""
    introspection = connections[using].introspection
    with connections[using].cursor() as cursor:
        if TABLE not in introspection.table_names(cursor):
            return False
        columns = introspection.get_table_description(cursor, TABLE)
    return "class_id" in {one.name for one in columns}


def drop_session_guards(using: str = DEFAULT_DB_ALIAS) -> None:
    """Take the guards away. Only for the control of a race test."""
    connection = connections[using]
    with connection.cursor() as cursor:
        for name in GUARDS:
            if connection.vendor == "postgresql":
                cursor.execute(f"ALTER TABLE {TABLE} DROP CONSTRAINT IF EXISTS {name}")
            else:
                for verb in ("insert", "update"):
                    cursor.execute(f"DROP TRIGGER IF EXISTS {name}_{verb}")


@contextmanager
def session_guards_dropped(using: str = DEFAULT_DB_ALIAS) -> Iterator[None]:
    """The guards off for the block and on again after it, whatever happens in it."""
    drop_session_guards(using)
    try:
        yield
    finally:
        install_session_guards(using)


def installed_session_guards(using: str = DEFAULT_DB_ALIAS) -> set[str]:
    """The names of the guards that stand."""
    connection = connections[using]
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT conname FROM pg_constraint WHERE contype = 'x' AND conrelid = %s::regclass",
                [TABLE],
            )
            return {row[0] for row in cursor.fetchall()}
        cursor.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s", [TABLE]
        )
        triggers = {row[0] for row in cursor.fetchall()}
        return {name for name in GUARDS if {f"{name}_insert", f"{name}_update"} <= triggers}


def check_session_guards(
    app_configs: Any = None, databases: Sequence[str] | None = None, **_: Any
) -> list[CheckMessage]:
    """System check: the guards stand on every database that has the table."""
    problems: list[CheckMessage] = []
    for alias in databases or []:
        if TABLE not in connections[alias].introspection.table_names():
            continue
        if missing := sorted(GUARDS.keys() - installed_session_guards(alias)):
            problems.append(
                Error(
                    f"The calendar has lost its guards: {', '.join(missing)}.",
                    hint="Run `python3 manage.py migrate`: it installs them again.",
                    id="client_sessions.E001",
                )
            )
    return problems
