"""The program's own processes on the database of a test, so that both look at the same rows."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from django.conf import settings
from django.contrib.auth.hashers import Argon2PasswordHasher
from django.db import connection

from practice.jobs import wake
from practice.management.demo_processes import DemoProcesses
from practice.management.processes import Group, Process, answers, free_port
from practice.management.test_servers import bundled_valkey, find_redis
from practice.people_and_places.models.staff import Staff
from tests.builders import PASSWORD
from tests.live import empty_redis


def database_url() -> str:
    """The address of the database that this test is using."""
    now = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{now['NAME']}"
    password = f":{quote(now['PASSWORD'])}" if now["PASSWORD"] else ""
    return f"postgresql://{now['USER']}{password}@{now['HOST']}:{now['PORT']}/{now['NAME']}"


@contextmanager
def processes(folder: Path, **env: str) -> Iterator[DemoProcesses]:
    """Server, worker and beat of a test, none started yet; all are ended with the block."""
    own = {
        "DATABASE_URL": database_url(),
        "REDIS_URL": env.get("REDIS_URL") or empty_redis(),
        "PRACTICE_VAR": str(settings.VAR),  # The same keys as this process.
        "PRACTICE_DIGESTS": settings.PRACTICE_DIGESTS,
        "PRACTICE_ERASURES": settings.PRACTICE_ERASURES,
        "VISIBILITY_SECONDS": "3",
        "TICK_SECONDS": "1",
    }
    with Group() as group:
        yield DemoProcesses(Path(settings.BASE_DIR), folder, group, print, own | env)


def may_sign_in() -> None:
    """Give every account a password that the program's own hashers know."""
    hasher = Argon2PasswordHasher()
    Staff.objects.update(password=hasher.encode(PASSWORD, hasher.salt()))


def wake_through(url: str) -> None:
    """Send wakes from this process to another broker from now on."""
    from practice.celery import app

    app.conf.update(broker_url=url)
    app._after_fork()  # Forgets the connections to the other.
    wake.circuit.open_until = float("-inf")


class Broker:
    """A Redis of a test's own that can be stopped and started again on its port."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.port = folder, free_port()
        self.url = f"redis://127.0.0.1:{self.port}/0"
        self.process: Process | None = None

    def start(self) -> None:
        """Start it with what its log of writes holds."""
        program = find_redis() or bundled_valkey()
        assert program is not None, "no redis-server or valkey-server (manage.py test brings one)"
        command = [str(program), "--bind", "127.0.0.1", "--port", str(self.port), "--save", ""]
        command += ["--appendonly", "yes", "--dir", str(self.folder)]
        self.process = Process("redis", command, log=self.folder / "redis.log")
        self.process.wait_until(lambda: answers(self.port), 15)

    def stop(self) -> None:
        """Stop it."""
        if self.process is not None:
            self.process.end()
        self.process = None

    def freeze(self) -> None:
        """It takes connections and says nothing."""
        self._signal(signal.SIGSTOP)

    def thaw(self) -> None:
        """It goes on."""
        self._signal(signal.SIGCONT)

    def _signal(self, which: signal.Signals) -> None:
        assert self.process is not None
        os.killpg(self.process.popen.pid, which)
