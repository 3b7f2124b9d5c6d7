"""Reading many things as they stood at one moment, while others go on writing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

from django.db import connection, transaction


@contextmanager
def snapshot() -> Iterator[None]:
    """Everything that the block reads is of the moment of its first statement. It writes nothing.

    PostgreSQL: REPEATABLE READ. SQLite: a read transaction (WAL), which holds up no writer.
    Within a transaction that is open already, that one stays what it is.
    """
    if connection.in_atomic_block:
        yield
        return
    with ExitStack() as stack:
        if connection.vendor == "postgresql":
            stack.enter_context(transaction.atomic(durable=True))
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        else:
            connection.ensure_connection()  # The mode is not known before.
            sqlite: Any = connection
            mode, sqlite.transaction_mode = sqlite.transaction_mode, "DEFERRED"
            try:
                stack.enter_context(transaction.atomic(durable=True))
            finally:
                sqlite.transaction_mode = mode
        yield
