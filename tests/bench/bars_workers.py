"""Worker classes: throughput, p95, and whether slow bodies keep a health check from its answer."""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from typing import Any, Final
from uuid import uuid4

from tests.bench.bars_requests import sent_of
from tests.bench.databases import database
from tests.bench.measuring import Runs
from tests.bench.plan import Plan
from tests.bench.report import Bar
from tests.bench.serving import SYNC, ask, gunicorn, request, volley

CLASSES: Final = {
    "sync": SYNC,
    **{
        f"gthread, {threads} threads": ("--worker-class=gthread", f"--threads={threads}")
        for threads in (2, 4, 8)
    },
}
MIX: Final = ("a reading", "sessions of a day", "readings", "a reading", "plan")
SLOW: Final = (8, 20)
"""Connections that send their bodies slowly: the half of 2 × 8 threads, and more than those."""
PATIENCE: Final = 5.0
"""Seconds after which whoever asks for health gives up."""
BODY_BYTES: Final = 1_000
WATCHED: Final = 8.0
"""Seconds of those that bodies take in which health is asked for."""


def worker_classes(plan: Plan) -> list[Bar]:
    """Two processes of each class, in turn; then the slow bodies."""
    each = max(4, plan.size.each // 5)
    rates: dict[str, list[float]] = {name: [] for name in CLASSES}
    runs = {name: Runs() for name in CLASSES}
    health: dict[str, list[Bar]] = {}
    with database("workers") as own:
        told = own.build("working_day", each=each, rounds=1)
        for number in range(plan.rounds + 1):
            for name, options in CLASSES.items():
                with gunicorn(plan.folder, options, url=own.url) as served:
                    _mixed(served.port, told, each)  # New processes: this warms them.
                    if number:
                        seconds, times = _mixed(served.port, told, 2 * plan.size.each)
                        runs[name].rounds.append(times)
                        rates[name].append(len(times) / seconds)
                    else:
                        health[name] = [
                            _under_slow_bodies(served.port, told, name, count, plan)
                            for count in SLOW
                        ]
    bars = []
    for name in CLASSES:
        p95 = runs[name].quantile(0.95) * 1e3
        bars += [
            Bar.rate(f"workers {name}, requests/s", rates[name]),
            Bar(f"workers {name}, p95", "", p95, "ms", raw=runs[name].as_json()),
            *health[name],
        ]
    return bars


def _mixed(port: int, told: Any, count: int) -> tuple[float, list[float]]:
    return volley(port, lambda one: sent_of(told, MIX[one % len(MIX)], one), count)


def _under_slow_bodies(port: int, told: Any, name: str, count: int, plan: Plan) -> Bar:
    """The longest that a health check waited while so many bodies came slowly."""
    seconds = plan.size.slow_seconds
    ended = threading.Event()
    senders = [
        threading.Thread(target=_send_slowly, args=(port, told, seconds, ended))
        for _ in range(count)
    ]
    for one in senders:
        one.start()
    time.sleep(0.2)
    end, waits = time.perf_counter() + min(seconds, WATCHED), []
    while time.perf_counter() < end:
        waits.append(_health_seconds(port))
        time.sleep(0.1)
    ended.set()
    for one in senders:
        one.join()
    unanswered = sum(one >= PATIENCE for one in waits)
    what = f"workers {name}, {count} bodies over {seconds:g} s, health at worst"
    beside = f"{unanswered} of {len(waits)} in vain"
    return Bar(what, beside, max(waits), "s", raw={"waits": waits})


def _send_slowly(port: int, told: Any, seconds: float, ended: threading.Event) -> None:
    """A body of a kilobyte, byte by byte; the connection is closed at the end."""
    path = told["requests"]["a reading"][0]["path"]
    token = told["tokens"]["practitioner"]
    whole = request(
        "POST", path, b" " * BODY_BYTES, Authorization=token, Idempotency_Key=str(uuid4())
    )
    with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port)) as connection:
        connection.sendall(whole[:-BODY_BYTES])
        for _ in range(BODY_BYTES):
            if ended.wait(seconds / BODY_BYTES):
                return
            connection.sendall(b" ")


def _health_seconds(port: int) -> float:
    """How long one check took; the whole patience where nothing came."""
    start = time.perf_counter()
    sent = request("GET", "/api/v1/health/live", b"")
    with contextlib.suppress(OSError):
        if ask(port, sent, PATIENCE).startswith(b"HTTP/1.1 200"):
            return time.perf_counter() - start
    return PATIENCE
