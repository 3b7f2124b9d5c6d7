"""A whole practice as processes of its own: API server, worker, beat, database, Redis.

For tests over real HTTP, of real Celery processes and of processes that are killed. Nothing of
it touches the test database of this process.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import psycopg
from django.conf import settings
from psycopg import sql

from practice.management.demo_processes import DemoProcesses
from practice.management.processes import Group
from tests.conftest import engine_of_settings

LIVE_REDIS = 8
"""Added to the number of this process's Redis database it is that of its live practices, which
is emptied first."""


@contextmanager
def database_of_its_own(folder: Path) -> Iterator[str]:
    """The address of an empty database on the engine under test; it is dropped at the end."""
    if engine_of_settings() == "sqlite":
        yield f"sqlite:///{folder / 'live.sqlite3'}"
        return
    parts = urlsplit(os.environ["DATABASE_URL"])
    name = f"live_{secrets.token_hex(6)}"
    with psycopg.connect(os.environ["DATABASE_URL"], autocommit=True) as server:
        server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        try:
            yield urlunsplit(parts._replace(path=f"/{name}"))
        finally:
            drop = sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name))
            server.execute(drop)


def empty_redis() -> str:
    """The address of the emptied Redis database for live practices of this process."""
    import redis

    parts = urlsplit(settings.REDIS_URL)
    url = urlunsplit(parts._replace(path=f"/{int(parts.path[1:] or 0) + LIVE_REDIS}"))
    with redis.Redis.from_url(url) as broker:
        broker.flushdb()
    return url


@contextmanager
def live_practice(folder: Path, **env: str) -> Iterator[DemoProcesses]:
    """A migrated practice, nothing started yet: ``start_server(0)``, ``start_worker()``, ...

    ``env`` adds to the environment of its processes. All are ended at the end of the block.
    """
    with database_of_its_own(folder) as url, Group() as group:
        own = {"DATABASE_URL": url, "REDIS_URL": empty_redis(), "VISIBILITY_SECONDS": "3"} | env
        practice = DemoProcesses(Path(settings.BASE_DIR), folder, group, print, own)
        practice.manage("migrate", "--no-input", "--verbosity=0")
        yield practice
