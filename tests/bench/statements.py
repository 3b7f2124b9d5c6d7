"""How many statements a request sends, BEGIN and COMMIT left out."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple
from unittest.mock import patch
from uuid import UUID

import psycopg

from practice.core.terms import Role
from tests.builders import Built, ok
from tests.harness.furnishing import READING
from tests.sessions.booking.http import key


class Statement(NamedTuple):
    """A statement as the driver got it, with the values for its places."""

    text: str
    values: Any


@contextmanager
def listening() -> Iterator[list[Statement]]:
    """Every statement that goes to PostgreSQL: the log's own do not pass Django's cursor."""
    heard: list[Statement] = []
    execute = psycopg.Cursor.execute

    def hear(cursor: Any, query: Any, params: Any = None, **options: Any) -> Any:
        heard.append(Statement(str(query), params))
        return execute(cursor, query, params, **options)

    with patch.object(psycopg.Cursor, "execute", hear):
        yield heard


def asking(heard: list[Statement]) -> int:
    """How many of them are no mere bounds of transactions, which a test has more of."""
    bounds = ("SAVEPOINT", "RELEASE", "ROLLBACK")
    return sum(not one.text.startswith(bounds) for one in heard)


def counted(built: Built, client_id: UUID) -> int:
    """Statements of one POST of a reading with an Idempotency-Key, keys cached."""
    api, path = built.api(Role.PRACTITIONER), f"clients/{client_id}/range-of-motion"
    ok(api.post(path, READING | {"degrees": 120}, key=key()), 201)
    with listening() as heard:
        ok(api.post(path, READING | {"degrees": 121}, key=key()), 201)
    return len(heard)
