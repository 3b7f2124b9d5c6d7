"""Databases of single bars, so that what one of them fills makes no other slower.

What a bar needs is built by a process of its own (``python -m tests.bench.building``): it uses
the program's services on that database, and this process stays on its own.
"""

from __future__ import annotations

import atexit
import json
import os
import secrets
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import cache
from typing import Any
from urllib.parse import urlsplit, urlunsplit

import psycopg
from django.conf import settings
from psycopg import sql


@dataclass(frozen=True)
class Database:
    """A database that programs of the benchmark run on."""

    url: str

    def build(self, what: str, **options: Any) -> Any:
        """Have a builder run in a process of its own; the JSON of its last line."""
        # A million rows in one statement take longer than a request may.
        env = {"DATABASE_URL": self.url, "STATEMENT_SECONDS": "900"}
        done = subprocess.run(
            [sys.executable, "-m", "tests.bench.building", what, json.dumps(options)],
            cwd=settings.BASE_DIR,
            env=os.environ | env,
            stdout=subprocess.PIPE,
            text=True,
            check=False,
        )
        if done.returncode:
            raise RuntimeError(f"building {what} {options} failed (above)")
        return json.loads(done.stdout.splitlines()[-1])


@contextmanager
def database(name: str) -> Iterator[Database]:
    """A migrated database beside that of ``DATABASE_URL``; dropped at the end."""
    with _created(f"bench_{name}", of=_migrated()) as own:
        yield own


@cache
def _migrated() -> str:
    """The name of a database with tables and nothing in them, of which the others are copies."""
    stack = ExitStack()
    atexit.register(stack.close)
    name = f"bench_migrated_{secrets.token_hex(3)}"
    stack.enter_context(_created(name)).build("tables")
    return name


@contextmanager
def _created(name: str, of: str = "template1") -> Iterator[Database]:
    server = os.environ["DATABASE_URL"]
    own, whole = sql.Identifier(name), sql.Identifier(of)
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(own, whole))
        try:
            yield Database(urlunsplit(urlsplit(server)._replace(path=f"/{name}")))
        finally:
            connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(own))
