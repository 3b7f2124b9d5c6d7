"""The processes of ``manage.py demo``: API server, worker, beat and their broker."""

from __future__ import annotations

import fcntl
import os
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TextIO

from practice.management.processes import Group, NotStarted, Process, port_or_another
from practice.management.test_servers import bundled_valkey, find_redis, start_redis

Say = Callable[[str], object]

TICK_SECONDS = 2
"""The demo's beat ticks this often, so that nobody waits a minute for a reminder."""

SERVER_LIMITS = (
    "--worker-class=gthread",
    "--preload",  # Imported once, then forked: a third of the start.
    "--workers=2",
    "--threads=4",
    "--timeout=60",  # Seconds; a worker that is silent for longer is replaced.
    "--graceful-timeout=10",
    "--keep-alive=5",
    "--limit-request-line=8190",
    "--no-control-socket",
)
CELERY = (sys.executable, "-m", "celery", "-A", "practice.celery")


class DemoFailed(Exception):
    """The demo cannot go on; the text says why."""


class DemoProcesses:
    """One running practice in the folder ``var``; every process is ended with ``group``.

    ``env`` adds to this process's environment; tests give a database and a Redis of their own.
    """

    def __init__(
        self, root: Path, var: Path, group: Group, say: Say, env: Mapping[str, str] | None = None
    ) -> None:
        self.root, self.var, self.group, self.say = root, var, group, say
        self.logs = var / "log"
        self.logs.mkdir(parents=True, exist_ok=True)
        self.env = os.environ | {"PRACTICE_NO_VENV": "1", "TICK_SECONDS": str(TICK_SECONDS)}
        self.env |= {"PRACTICE_VAR": str(var)} | dict(env or {})
        self._lock: TextIO | None = None

    def alone(self) -> None:
        """Two demos in one folder would share a database and a beat. Raises Failed."""
        lock = (self.var / "demo.lock").open("w")
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            lock.close()
            raise DemoFailed(f"Another demo is running in {self.var}; end it first.") from None
        self._lock = lock  # Open, and so held, for as long as this demo runs.

    def manage(self, *arguments: str) -> None:
        """Run a command of manage.py to its end; its output is shown. Raises Failed."""
        command = [sys.executable, "manage.py", *arguments]
        sys.stdout.flush()
        if subprocess.run(command, cwd=self.root, env=self.env, check=False).returncode:
            raise DemoFailed(f"manage.py {' '.join(arguments)} failed (above).")

    def start_broker(self) -> None:
        """The broker of REDIS_URL, else a server of its own, else folders under ``var``."""
        if self.env.get("REDIS_URL"):
            self.say("Broker: the one of REDIS_URL")
            return
        for program in filter(None, (bundled_valkey(), find_redis())):
            try:
                server = start_redis(program, self.group, self.var / "redis")
            except (NotStarted, OSError):
                continue
            self.env["REDIS_URL"] = server.url
            self.say(f"Broker: {server.version} of the demo's own")
            return
        self.say("Broker: folders under var/ (no Redis or Valkey server runs on this machine)")

    def start_server(self, wanted: int) -> str:
        """The API server; returns its address once it answers that it lives."""
        port = port_or_another(wanted, self.say)
        command = [sys.executable, "-m", "gunicorn", "practice.wsgi", f"--bind=127.0.0.1:{port}"]
        server = self._start("API server", [*command, *SERVER_LIMITS], "server.log")
        address = f"http://127.0.0.1:{port}"
        self.env.setdefault("PUBLIC_URL", address)  # Where the links in mails lead.
        server.wait_until(lambda: is_alive(address), 60)
        self.say(f"API server: {address}")
        return address

    def start_worker(self) -> Process:
        """One Celery worker, once it takes tasks."""
        options = ["-c1", "--without-gossip", "--without-mingle", "--loglevel=INFO"]
        worker = self._start("worker", [*CELERY, "worker", *options], "worker.log")
        worker.wait_until(lambda: " ready." in worker.last_lines(200), 60)
        return worker

    def start_beat(self) -> Process:
        """The one beat; it sends the argument-free tick."""
        options = [f"--schedule={self.var / 'beat-schedule'}", "--pidfile=", "--loglevel=INFO"]
        return self._start("beat", [*CELERY, "beat", *options], "beat.log")

    def _start(self, name: str, command: list[str], log: str) -> Process:
        file = self.logs / log
        file.write_text("")
        return self.group.add(Process(name, command, log=file, env=self.env, cwd=self.root))


def is_alive(address: str) -> bool:
    """Whether the API server answers its liveness check with 200."""
    try:
        with urllib.request.urlopen(f"{address}/api/v1/health/live", timeout=5) as answer:  # noqa: S310  an address of our own
            return bool(answer.status == 200)
    except (urllib.error.URLError, OSError):
        return False
