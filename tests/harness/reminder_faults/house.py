"""A practice whose every process can be killed: PostgreSQL, Redis, two beats, four workers."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final

from practice.management.processes import Group, Process
from practice.management.test_servers import (
    bundled_valkey,
    find_postgresql,
    find_redis,
    start_redis,
    unprivileged_user,
)

ROOT: Final = Path(__file__).resolve().parents[3]
WORKERS, BEATS = 4, 2
TRAPPED: Final = "tests.harness.reminder_faults.worker"
LIKELY_SECONDS: Final = 90


def start_broker(group: Group, folder: Path) -> str:
    """A Redis of its own; its address."""
    program = find_redis() or bundled_valkey()
    assert program is not None, "no redis-server or valkey-server on this machine"
    return start_redis(program, group, folder).url


class House:
    """Its processes. ``env`` is what all of them get."""

    def __init__(self, folder: Path, group: Group, redis_url: str) -> None:
        self.folder, self.group, self.redis_url = folder, group, redis_url
        self.mail = folder / "var" / "mail"
        self.env = dict(os.environ) | {"TICK_SECONDS": "1", "VISIBILITY_SECONDS": "3"}
        self.workers: list[Process] = []
        self.beats: list[Process] = []
        self.started = self.deaths = 0

    def start(self, **env: str) -> None:
        """Workers up to four, ready, and two beats, of which some may run already."""
        while len(self.workers) < WORKERS:
            self.start_worker(**env)
        for one in self.workers:
            one.wait_until(lambda one=one: " ready." in one.log.read_text(), LIKELY_SECONDS)  # type: ignore[misc]
        if not self.beats:
            self.start_beats(**env)

    def start_worker(self, **env: str) -> Process:
        """One more; it is not waited for."""
        self.started += 1
        options = [f"-nfaults{self.started}", "-c1", "--without-gossip", "--without-mingle"]
        app = TRAPPED if env else "practice.celery"
        log = self.folder / f"worker{self.started}.log"
        command = [sys.executable, "-m", "celery", "-A", app, "worker", *options, "-lINFO"]
        worker = Process("worker", command, log=log, env=self.env | env, cwd=ROOT)
        self.workers.append(self.group.add(worker))
        return worker

    def start_beats(self, **env: str) -> None:
        """Each with a schedule of its own."""
        for _ in range(BEATS):
            self.started += 1
            number, log = self.started, self.folder / f"beat{self.started}.log"
            schedule = f"--schedule={self.folder / f'schedule{number}'}"
            command = [sys.executable, "-m", "celery", "-A", "practice.celery", "beat", schedule]
            beat = Process(
                "beat", [*command, "--pidfile=", "-lINFO"], log=log, env=self.env | env, cwd=ROOT
            )
            beat.wait_until(lambda log=log: "beat: Starting" in log.read_text(), LIKELY_SECONDS)  # type: ignore[misc]
            self.beats.append(self.group.add(beat))

    def kill_beats(self) -> None:
        """Both at once."""
        for one in self.beats:
            one.kill()
            one.popen.wait(10)
        self.beats = []

    def until_no_tick_is_left(self) -> None:
        """Until the broker holds none: on a busy machine the last of a killed beat come late."""
        import redis

        with redis.Redis.from_url(self.redis_url) as broker:
            self.wait_for(lambda: not broker.exists("celery", "unacked"), LIKELY_SECONDS)

    def all_alive(self) -> bool:
        """Whether each process that was started is still there."""
        return all(one.running for one in (*self.workers, *self.beats))

    def replace_dead(self, **env: str) -> None:
        """Start a worker for each that died."""
        for one in [one for one in self.workers if not one.running]:
            self.workers.remove(one)
            self.deaths += 1
            self.start_worker(**env)

    def wait_for(
        self, done: Callable[[], bool], seconds: float, meanwhile: Callable[[], None] | None = None
    ) -> float:
        """The seconds until it is done. Raises AssertionError where the time is over."""
        start = time.monotonic()
        while not done():
            if meanwhile is not None:
                meanwhile()
            assert time.monotonic() - start < seconds, self.told()
            time.sleep(0.2)
        return time.monotonic() - start

    def told(self) -> str:
        """The ends of the logs."""
        return "\n".join(f"== {one.log.name}\n{one.last_lines(15)}" for one in self.workers)

    def memory(self) -> int:
        """The most memory, in MB, that one process of the workers ever held (VmHWM)."""
        most = 0
        groups = {one.popen.pid for one in self.workers}
        for status in Path("/proc").glob("[0-9]*/status"):
            try:
                if os.getpgid(int(status.parent.name)) not in groups:
                    continue
                text = status.read_text()
            except (ProcessLookupError, FileNotFoundError):
                continue
            kb = (line.split()[1] for line in text.splitlines() if line.startswith("VmHWM"))
            most = max([most, *map(int, kb)])
        return most // 1024

    def restart_database(self) -> None:
        """``pg_ctl restart -m immediate``: every session is cut, then it recovers from its log."""
        programs, folder = find_postgresql(), self.folder / "postgresql"
        assert programs is not None
        user = unprivileged_user(folder)
        command = [str(programs / "pg_ctl"), "-D", str(folder / "data"), "-m", "immediate", "-w"]
        log = folder / "restarted.log"
        done = subprocess.run(
            [*command, "-t", "60", "-l", str(log), "restart"],
            user=user,
            group=user,
            cwd=folder,
            stdout=subprocess.DEVNULL,
            check=False,
        )
        assert done.returncode == 0, log.read_text() if log.exists() else "pg_ctl failed"

    def stop_database(self) -> None:
        """One that was restarted is nobody's child."""
        programs, folder = find_postgresql(), self.folder / "postgresql"
        assert programs is not None
        user = unprivileged_user(folder)
        command = [str(programs / "pg_ctl"), "-D", str(folder / "data"), "-m", "immediate", "stop"]
        subprocess.run(command, user=user, group=user, cwd=folder, capture_output=True, check=False)

    def end_processes(self) -> None:
        """Workers and beats, for the next fault."""
        for one in (*self.workers, *self.beats):
            one.kill()
            one.end(5)
            self.group.processes.remove(one)
        self.workers, self.beats = [], []

    def forget(self) -> None:
        """What was mailed, and who died."""
        self.deaths = 0
        shutil.rmtree(self.mail, ignore_errors=True)
