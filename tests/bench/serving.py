"""A gunicorn with sync workers, and requests to it on so many connections at once."""

from __future__ import annotations

import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings

from practice.management.processes import Group, Process, answers, free_port

WORKERS, CONNECTIONS = 2, 8


@contextmanager
def gunicorn(folder: Path) -> Iterator[int]:
    """The benchmark's application on a free port."""
    port = free_port()
    command = [sys.executable, "-m", "gunicorn", "tests.bench.wsgi", f"--bind=127.0.0.1:{port}"]
    command += ["--worker-class=sync", f"--workers={WORKERS}", "--no-control-socket"]
    with Group() as group:
        server = group.add(
            Process("gunicorn", command, log=folder / "gunicorn.log", cwd=settings.BASE_DIR)
        )
        server.wait_until(lambda: answers(port), 60)
        yield port


def request(method: str, path: str, body: bytes, **headers: str) -> bytes:
    """One request as it goes over the wire; sync workers close after each."""
    lines = [f"{method} {path} HTTP/1.1", "Host: localhost", f"Content-Length: {len(body)}"]
    lines += ["Content-Type: application/json", "Connection: close"]
    lines += [f"{name.replace('_', '-')}: {value}" for name, value in headers.items()]
    return "\r\n".join([*lines, "", ""]).encode() + body


def ask(port: int, sent: bytes) -> bytes:
    """One request on a connection of its own; the whole answer."""
    with socket.create_connection(("127.0.0.1", port), timeout=60) as connection:
        connection.sendall(sent)
        parts = []
        while part := connection.recv(65_536):
            parts.append(part)
    return b"".join(parts)


def volley(port: int, make: Callable[[int], bytes], count: int) -> tuple[float, list[float]]:
    """Send ``count`` requests on eight connections; all seconds, and those of each request.

    ``make`` gives the request of a number. Every answer must be 201.
    """
    numbers, times, faults = iter(range(count)), [0.0] * count, []
    lock = threading.Lock()

    def work() -> None:
        while True:
            with lock:
                number = next(numbers, None)
            if number is None:
                return
            sent = make(number)
            start = time.perf_counter()
            answer = ask(port, sent)
            times[number] = time.perf_counter() - start
            if not answer.startswith(b"HTTP/1.1 201"):
                faults.append(answer)

    threads = [threading.Thread(target=work) for _ in range(CONNECTIONS)]
    start = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    seconds = time.perf_counter() - start
    if faults:
        raise RuntimeError(f"{len(faults)} answers were not 201, the first: {faults[0][:500]!r}")
    return seconds, times
