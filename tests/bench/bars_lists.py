"""Bar 4: the lists over HTTP in a small practice and in a large one."""

from __future__ import annotations

from contextlib import ExitStack
from typing import Any

from tests.bench.databases import database
from tests.bench.measuring import Runs
from tests.bench.plan import Plan
from tests.bench.report import Bar
from tests.bench.serving import gunicorn, told_request, volley

AT_MOST = 1.3


def lists_at_two_sizes(plan: Plan) -> list[Bar]:
    """Each list of the two practices in turn, round after round; one round warms up."""
    told: dict[int, Any] = {}
    ports: dict[int, int] = {}
    with ExitStack() as stack:
        for clients in plan.size.clients:
            one = stack.enter_context(database(f"lists_{clients}"))
            told[clients] = one.build("lists", clients=clients, events=plan.size.events)
            ports[clients] = stack.enter_context(gunicorn(plan.folder, url=one.url)).port
        small, large = plan.size.clients
        runs = {name: {clients: Runs() for clients in told} for name in told[small]["asked"]}
        for number in range(plan.rounds + 1):
            for name, by_size in runs.items():
                for clients, found in by_size.items():
                    sent = told_request(told[clients]["asked"][name], told[clients]["tokens"])
                    _, times = volley(ports[clients], lambda _, sent=sent: sent, plan.size.each)  # type: ignore[misc]
                    if number:
                        found.rounds.append(times)
    bars = []
    for name, by_size in runs.items():
        statements = tuple(told[clients]["statements"][name] for clients in (small, large))
        bars.append(_compared(name, by_size[small], by_size[large], (small, large), statements))
    return bars


def _compared(
    name: str, small: Runs, large: Runs, clients: tuple[int, int], statements: tuple[int, ...]
) -> Bar:
    """The p95 of the large practice in times of that of the small one."""
    slow, fast = large.quantile(0.95), small.quantile(0.95)
    counted = f"{statements[0]} statements" if len(set(statements)) == 1 else f"{statements}!"
    return Bar(
        f"4 {name}, {counted}, p95 (at most)",
        f"{clients[1]:,} to {clients[0]:,} clients",
        slow / fast,
        "x",
        AT_MOST,
        slow * 1e3,
        fast * 1e3,
        {"large": large.as_json(), "small": small.as_json(), "statements": statements},
    )
