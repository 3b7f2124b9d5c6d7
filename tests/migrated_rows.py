"""What the migrations leave in the tables, to which a test that commits is taken back.

Django's flush empties a hundred tables, full or not, and has every app fill its own anew: a tenth
of a second of work after each such test.
"""

from __future__ import annotations

from itertools import chain
from typing import Any

from django.db import connections, transaction

from practice.eventstore import guards
from practice.keys.keystore import keystore
from practice.work.models import PracticeStamp


class MigratedRows:
    """The rows of one database as they are now."""

    def __init__(self, alias: str) -> None:
        self.alias = alias
        self.tables: list[str] = connections[alias].introspection.django_table_names(
            only_existing=True, include_views=False
        )
        full = self._full()
        # Every row that is put back moves the stamp of the practice: its own comes last.
        full.sort(key=PracticeStamp._meta.db_table.__eq__)
        self.inserts = [self._insert(table) for table in full]

    def _full(self) -> list[str]:
        """The tables that have rows."""
        quote = connections[self.alias].ops.quote_name
        asked = " UNION ALL ".join(
            f"SELECT '{table}' WHERE EXISTS (SELECT 1 FROM {quote(table)})"  # noqa: S608
            for table in self.tables
        )
        with connections[self.alias].cursor() as cursor:
            cursor.execute(asked)
            return [name for (name,) in cursor.fetchall()]

    def _insert(self, table: str) -> tuple[str, list[Any]]:
        """The statement that puts the rows of a table back, and its parameters."""
        quote = connections[self.alias].ops.quote_name
        with connections[self.alias].cursor() as cursor:
            cursor.execute(f"SELECT * FROM {quote(table)}")  # noqa: S608
            columns = [quote(one[0]) for one in cursor.description]
            rows = cursor.fetchall()
        row = f"({', '.join(['%s'] * len(columns))})"
        values = ", ".join([row] * len(rows))
        statement = f"INSERT INTO {quote(table)} ({', '.join(columns)}) VALUES {values}"  # noqa: S608
        return statement, list(chain.from_iterable(rows))

    def restore(self) -> None:
        """Nothing but these rows is in the tables. References are checked at the end of it."""
        quote = connections[self.alias].ops.quote_name
        with (
            guards.without_guards(self.alias),
            transaction.atomic(using=self.alias),
            connections[self.alias].cursor() as cursor,
        ):
            for table in self._full():
                cursor.execute(f"DELETE FROM {quote(table)}")  # noqa: S608
            for statement, values in self.inserts:
                cursor.execute(statement, values)
        keystore.invalidate()
