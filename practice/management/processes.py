"""Starting, watching and ending the processes of ``demo`` and ``test``.

Every child leads a process group of its own and is ended with it; on Linux the kernel also
ends the child when the parent dies without saying goodbye (kill -9).
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from types import FrameType
from typing import IO, Self

PR_SET_PDEATHSIG = 1
"""prctl(2): the signal that the kernel sends to a child when its parent dies."""


class NotStarted(Exception):
    """A process ended or stayed silent; the text holds the last lines of its log."""


def end_with_parent(how: signal.Signals = signal.SIGTERM) -> Callable[[], None] | None:
    """What a child does first on Linux: ask to be ended with its parent (None elsewhere)."""
    if not sys.platform.startswith("linux"):
        return None
    prctl = ctypes.CDLL(None, use_errno=True).prctl
    parent = os.getpid()

    def ask() -> None:
        prctl(PR_SET_PDEATHSIG, how)
        if os.getppid() != parent:  # It died before the kernel was asked.
            os._exit(1)

    return ask


class Process:
    """A child with a name and a log file; ended as a group."""

    def __init__(
        self,
        name: str,
        command: Sequence[str],
        *,
        log: Path,
        env: Mapping[str, str] | None = None,
        user: str | None = None,
        cwd: Path | None = None,
        stop_signal: signal.Signals = signal.SIGTERM,
    ) -> None:
        self.name, self.log, self.stop_signal = name, log, stop_signal
        self._output: IO[bytes] = log.open("ab")
        self.popen = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=self._output,
            stderr=subprocess.STDOUT,
            env=None if env is None else dict(env),
            user=user,
            group=user,
            extra_groups=[] if user else None,
            cwd=cwd,
            start_new_session=True,
            preexec_fn=end_with_parent(stop_signal),  # noqa: PLW1509  no threads run while children start
        )

    @property
    def running(self) -> bool:
        """Whether it has not ended yet."""
        return self.popen.poll() is None

    def last_lines(self, count: int = 20) -> str:
        """The end of its log."""
        return "\n".join(self.log.read_text(errors="replace").splitlines()[-count:])

    def wait_until(self, ready: Callable[[], bool], seconds: float) -> None:
        """Wait until it is ready. Raises NotStarted when it ends or the time is over."""
        end = time.monotonic() + seconds
        while not ready():
            if not self.running or time.monotonic() > end:
                what = f"not ready after {seconds:g} s" if self.running else "ended at once"
                raise NotStarted(f"{self.name} {what}:\n{self.last_lines()}")
            time.sleep(0.05)

    def kill(self) -> None:
        """End the whole group at once, as a power cut would (kill -9)."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.popen.pid, signal.SIGKILL)

    def end(self, seconds: float = 10) -> None:
        """Ask the group to stop, then make it."""
        for how, patience in ((self.stop_signal, seconds), (signal.SIGKILL, 5.0)):
            with contextlib.suppress(ProcessLookupError, PermissionError):
                os.killpg(self.popen.pid, how)
            with contextlib.suppress(subprocess.TimeoutExpired):
                self.popen.wait(patience)
                break
        # Children of the child that outlived it.
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(self.popen.pid, signal.SIGKILL)
        self._output.close()


class Group:
    """Processes that are started one after another and ended in reverse, whatever happens."""

    def __init__(self) -> None:
        self.processes: list[Process] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        while self.processes:
            self.processes.pop().end()

    def add(self, process: Process) -> Process:
        """Take a process into the group."""
        self.processes.append(process)
        return process

    def ended(self) -> list[Process]:
        """Those that ended by themselves."""
        return [process for process in self.processes if not process.running]


def is_free(port: int, host: str = "127.0.0.1") -> bool:
    """Whether nothing listens on a port."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
        return True


def free_port(host: str = "127.0.0.1") -> int:
    """A port that is free now."""
    with socket.socket() as probe:
        probe.bind((host, 0))
        port: int = probe.getsockname()[1]
        return port


def port_or_another(wanted: int, say: Callable[[str], object], host: str = "127.0.0.1") -> int:
    """The wanted port (0: any), or, said aloud, the next free one."""
    if wanted == 0:
        return free_port(host)
    if is_free(wanted, host):
        return wanted
    other = next((p for p in range(wanted + 1, wanted + 100) if is_free(p, host)), free_port(host))
    say(f"Port {wanted} is taken by another program; using {other} instead.")
    return other


def answers(port: int, host: str = "127.0.0.1") -> bool:
    """Whether something takes connections on a port."""
    with contextlib.suppress(OSError), socket.create_connection((host, port), timeout=1):
        return True
    return False


class StopRequested(Exception):
    """Ctrl-C or a request to end arrived."""


@contextlib.contextmanager
def stopping_on_signals() -> Iterator[None]:
    """Turn Ctrl-C, SIGTERM and a closed terminal into Stopped, so that ``finally`` runs."""

    def stop(number: int, frame: FrameType | None) -> None:
        raise StopRequested(signal.Signals(number).name)

    numbers = [signal.SIGINT, signal.SIGTERM, signal.SIGHUP]
    before = {number: signal.signal(number, stop) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
