"""How time grows with the length of a record and with the number of clients; drawn as curves."""

from __future__ import annotations

from statistics import median
from typing import Any, TypeAlias
from uuid import uuid4

from tests.bench.curves import Curves, draw
from tests.bench.databases import database
from tests.bench.plan import Plan
from tests.bench.report import Bar
from tests.bench.serving import SYNC, gunicorn, told_request, volley

ACTS = ("a command", "readings", "history")
Points: TypeAlias = list[tuple[float, float]]


def growth(plan: Plan) -> list[Bar]:
    """Medians over one connection: each record's requests by its length; those of the shortest
    record, and the rebuild's events per second, by the number of clients."""
    size = plan.size
    with database("growth") as own:
        told = own.build("growing", lengths=size.lengths)
        with gunicorn(plan.folder, SYNC, url=own.url) as served:
            by_length: dict[str, Points] = {
                act: [
                    (length, _ms(plan, served.port, told, length, act)) for length in size.lengths
                ]
                for act in ACTS
            }
            by_clients: dict[str, Points] = {act: [] for act in ACTS}
            rebuilt: Points = []
            for crowd in size.crowds:
                grown = own.build("growing", clients=crowd, events=size.events)
                rebuilt.append((grown["events"], grown["rebuilt"]))
                for act, points in by_clients.items():
                    points.append((crowd, _ms(plan, served.port, told, size.lengths[0], act)))
    draw(
        plan.pictures / "growth",
        [
            Curves("One record", "events in the record", "ms", by_length),
            Curves("The practice", "clients", "ms", by_clients),
            Curves("Rebuild, one process", "events in the log", "events/s", {"rebuild": rebuilt}),
        ],
    )
    bars = [_grown(f"growth of {one}, by events", points) for one, points in by_length.items()]
    bars += [_grown(f"growth of {one}, by clients", points) for one, points in by_clients.items()]
    what = f"growth: rebuild at {rebuilt[-1][0]:,.0f} events"
    return [*bars, Bar.rate(what, [rebuilt[-1][1]])]


def _ms(plan: Plan, port: int, told: Any, length: int, act: str) -> float:
    """The median of so many requests, one after another; the first few warm up."""
    one = told["records"][str(length)][act]
    count = max(4, plan.size.each // 5)

    def sent(_: int) -> bytes:
        headers = {"Idempotency_Key": str(uuid4())} if one["method"] == "POST" else {}
        return told_request(one, told["tokens"], **headers)

    volley(port, sent, 4)
    return median(volley(port, sent, count, connections=1)[1]) * 1e3


def _grown(what: str, points: Points) -> Bar:
    """The last of the points in times of the first."""
    (few, first), (many, last) = points[0], points[-1]
    beside = f"{few:,.0f} to {many:,.0f}"
    return Bar(what, beside, last / first, "x", None, last, first, {"points": points})
