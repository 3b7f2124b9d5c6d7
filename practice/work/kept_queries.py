"""Queries whose SQL is made once: the few that nearly every request asks.

To build and compile such a query takes the ORM longer than PostgreSQL takes to answer it. Here
the ORM writes the statement at the first use, and the driver prepares it once a connection.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from django.db import connection
from django.db.models import QuerySet


class KeptQuery:
    """A query of the ORM whose text stays, however often its values change.

    ``build(**values)`` gives the query, made by ``values_list``; its values are UUIDs, strings,
    times, and whole numbers of bigint columns. Nothing but these and which of them are given
    changes from call to call.
    """

    def __init__(self, build: Callable[..., QuerySet[Any, Any]]) -> None:
        self._build = build
        self._statements: dict[frozenset[str], tuple[str, list[Any]]] = {}

    def rows(self, **values: Any) -> list[tuple[Any, ...]]:
        """The rows for some values, as ``values_list`` gives them."""
        if connection.vendor != "postgresql":
            return list(self._build(**values))
        from practice.eventstore import postgresql

        given = frozenset(values)
        if given not in self._statements:
            self._statements[given] = self._compiled(values)
        sql, places = self._statements[given]
        return postgresql.run(sql, [values.get(one, one) for one in places])

    def _compiled(self, values: dict[str, Any]) -> tuple[str, list[Any]]:
        """The statement, and for each of its places the name of a value, else what stands there.

        Raises TypeError where a value does not reach the statement.
        """
        stand_ins = {name: _stand_in(value) for name, value in values.items()}
        names = {stand_in: name for name, stand_in in stand_ins.items()}
        sql, params = self._build(**stand_ins).query.sql_with_params()
        if missing := set(names) - set(params):
            raise TypeError(f"{[names[one] for one in missing]} do not reach the statement")
        return sql, [names.get(one, one) for one in params]


def _stand_in(value: Any) -> Any:
    """A value of the same kind that stands nowhere else in a statement."""
    one = uuid4()
    if isinstance(value, UUID):
        return one
    if isinstance(value, datetime):
        return datetime(2000, 1, 1, tzinfo=UTC) + timedelta(microseconds=one.int >> 73)
    return one.int >> 66 if isinstance(value, int) else one.hex
