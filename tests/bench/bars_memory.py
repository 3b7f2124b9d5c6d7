"""Memory of web processes, fresh and after work, and of the states that a process keeps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from practice.management.demo_processes import SERVER_LIMITS
from tests.bench.bars_requests import sent_of
from tests.bench.databases import Database, database
from tests.bench.memory import children, is_measurable, memory_of
from tests.bench.plan import Plan
from tests.bench.report import Bar
from tests.bench.serving import SYNC, gunicorn, volley

STREAM = 200
WORK = ("sessions of a day", "readings", "history", "plan", "open times", "a reading")


def memory(plan: Plan) -> list[Bar]:
    """Megabytes of one web process as served here and as the demo serves; of kept states."""
    if not is_measurable():
        return []
    with database("memory") as own:
        each = max(4, plan.size.each // 5)
        told = own.build("working_day", each=each, rounds=1)
        bars = [
            *_served(plan, own, told, "sync", SYNC),
            *_served(plan, own, told, "like the demo", SERVER_LIMITS),
        ]
    return [*bars, *_kept(plan)]


def _served(
    plan: Plan, own: Database, told: Any, name: str, options: Sequence[str]
) -> Iterator[Bar]:
    with gunicorn(plan.folder, options, url=own.url) as served:
        for number in range(2):  # The first volley imports what is imported at first use.
            for what in WORK:
                volley(
                    served.port,
                    lambda one, what=what: sent_of(told, what, one),  # type: ignore[misc]
                    max(8, plan.size.each // 2),
                )
            when = ("warm", "later")[number]
            yield from _of_workers(served.pid, f"memory of a web process, {name}, {when}")


def _of_workers(pid: int, what: str) -> Iterator[Bar]:
    workers = children(pid)
    for how in ("Rss", "Pss"):
        most = max(memory_of(one, how) for one in workers)
        yield Bar(f"{what}, {how}", "", most / 1e6, "MB")


def _kept(plan: Plan) -> Iterator[Bar]:
    with database("kept") as own:
        own.build("kept_streams", streams=plan.size.kept + 20, length=STREAM)
        found = own.build("kept_memory")
    thousand = found["bytes"] / found["clients"] * 1_000 / 1e6
    yield Bar(f"memory of 1,000 clients kept, streams of {STREAM} readings", "", thousand, "MB")
    yield Bar(
        "memory of kept states ÷ stored bytes, by which they are bounded",
        "",
        found["bytes"] / found["stored"],
        "x",
    )
