"""A gunicorn, and requests to it on so many connections at once."""

from __future__ import annotations

import json
import os
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple

from django.conf import settings

from practice.management.processes import Group, Process, answers, free_port

WORKERS, CONNECTIONS = 2, 8


SYNC = ("--worker-class=sync",)


class Served(NamedTuple):
    """A server that takes connections, and the id of its first process."""

    port: int
    pid: int


@contextmanager
def gunicorn(
    folder: Path, options: Sequence[str] = SYNC, *, url: str | None = None
) -> Iterator[Served]:
    """The benchmark's application on a free port, on the database of ``url`` or this one."""
    port = free_port()
    command = [sys.executable, "-m", "gunicorn", "tests.bench.wsgi", f"--bind=127.0.0.1:{port}"]
    command += [*options, f"--workers={WORKERS}", "--no-control-socket"]
    env = os.environ | ({"DATABASE_URL": url} if url else {})
    log = folder / f"gunicorn-{port}.log"
    with Group() as group:
        server = group.add(Process("gunicorn", command, log=log, cwd=settings.BASE_DIR, env=env))
        server.wait_until(lambda: answers(port), 60)
        yield Served(port, server.popen.pid)


def request(method: str, path: str, body: bytes, **headers: str) -> bytes:
    """One request as it goes over the wire; sync workers close after each."""
    lines = [f"{method} {path} HTTP/1.1", "Host: localhost", f"Content-Length: {len(body)}"]
    lines += ["Content-Type: application/json", "Connection: close"]
    lines += [f"{name.replace('_', '-')}: {value}" for name, value in headers.items()]
    return "\r\n".join([*lines, "", ""]).encode() + body


def told_request(asked: Mapping[str, Any], tokens: Mapping[str, str], **headers: str) -> bytes:
    """The request that a builder described (``at_noon.asked``)."""
    body = b"" if asked["body"] is None else json.dumps(asked["body"]).encode()
    token = tokens[asked["role"]]
    return request(asked["method"], asked["path"], body, Authorization=token, **headers)


def ask(port: int, sent: bytes, timeout: float = 60) -> bytes:
    """One request on a connection of its own; the whole answer. Raises OSError after seconds."""
    with socket.create_connection(("127.0.0.1", port), timeout=timeout) as connection:
        connection.sendall(sent)
        parts = []
        while part := connection.recv(65_536):
            parts.append(part)
    return b"".join(parts)


def body_of(answer: bytes) -> bytes:
    """What comes behind the headers of an answer that must be a success."""
    assert answer.startswith(b"HTTP/1.1 20"), answer[:500]
    return answer.partition(b"\r\n\r\n")[2]


def volley(
    port: int, make: Callable[[int], bytes], count: int, connections: int = CONNECTIONS
) -> tuple[float, list[float]]:
    """Send ``count`` requests on eight connections; all seconds, and those of each request.

    ``make`` gives the request of a number. Every answer must be a success.
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
            if not answer.startswith(b"HTTP/1.1 20"):
                faults.append(answer)

    threads = [threading.Thread(target=work) for _ in range(connections)]
    start = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    seconds = time.perf_counter() - start
    if faults:
        raise RuntimeError(f"{len(faults)} answers were no success, the first: {faults[0][:500]!r}")
    return seconds, times
