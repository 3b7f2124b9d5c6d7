"""Bars 1, 2 and 5: a command on a stream, the fold of a long one, rebuild and verification."""

from __future__ import annotations

import time
from collections.abc import Callable
from itertools import cycle
from typing import Any
from uuid import UUID

from django.db import connection

from practice.audit import rebuild
from practice.audit.verification import verify_log
from practice.core.appspec import installed
from practice.core.decisions import Actor
from practice.core.terms import Role
from practice.eventstore.models import StoredEvent
from practice.work import loading
from practice.work.kept_states import kept_states
from practice.work.projection_runner import model_of
from practice.work.unit_of_work import unit_of_work
from tests.bench.filling import fill
from tests.bench.measuring import alternate
from tests.bench.peers import Library, PlainSql
from tests.bench.plan import Plan
from tests.bench.record import LATEST, RATER, take
from tests.bench.report import Bar
from tests.builders import seal_practice

ACTOR = Actor(id=RATER, role=Role.PRACTITIONER)


class Program:
    """The program's own way: one unit of work with one command."""

    def __init__(self, clients: list[UUID]) -> None:
        self._turn = cycle(clients)

    def command(self) -> None:
        """One reading more on the next stream."""
        client_id = next(self._turn)
        with unit_of_work(actor=ACTOR, request_id="bench") as uow:
            uow.execute(client_id, (LATEST,), take)

    def fold(self) -> int:
        """Fold the next stream cold, without what reads share; how many readings there were."""
        kept_states.clear()
        return loading.load_states(next(self._turn), (LATEST,))[LATEST][1]


def command_on_a_stream(plan: Plan) -> list[Bar]:
    """Bar 1. Streams of 200 at the start; each gets a few more in the run, the peers' too."""
    size = plan.size
    clients = fill(size.streams, size.length)
    ours = Program(clients)
    plain = PlainSql(plan.url, clients)
    libraries = {
        "library": Library(plan.url),
        "library, its cache": Library(plan.url, cached=True),
        "library, its encryption": Library(plan.url, sealed=True),
    }
    for one in libraries.values():
        one.fill(size.streams, size.length)
    contenders = {"ours": ours.command, "plain SQL": plain.command}
    contenders |= {name: one.command for name, one in libraries.items()}
    runs = alternate(contenders, rounds=plan.rounds, each=plan.size.each)
    plain.close()
    for one in libraries.values():
        one.close()
    what = f"1 command on a stream of {size.length}, {size.streams} clients"
    return [
        Bar.of(what, "library", runs, wanted=6.0),
        Bar.of(what, "plain SQL", runs, wanted=0.9),
        Bar.of(what, "library, its cache", runs, wanted=1.3),
        Bar.of(what, "library, its encryption", runs),
    ]


def fold_of_a_long_stream(plan: Plan) -> list[Bar]:
    """Bar 2."""
    folded = plan.size.folded
    ours, library = Program(fill(3, folded)), Library(plan.url)
    library.fill(3, folded + 1)
    assert ours.fold() == library.fold() == folded
    contenders = {"ours": ours.fold, "library": library.fold}
    runs = alternate(contenders, rounds=plan.rounds, each=6)
    library.close()
    return [Bar.of(f"2 fold of {folded} events from the database", "library", runs, wanted=5.0)]


def whole_log(plan: Plan) -> list[Bar]:
    """Bar 5, on what the bars before have written, filled up to half a million events.

    A rebuild writes what differs: measured with tables that are empty and with such as are right.
    """
    missing = plan.size.whole_log - StoredEvent.objects.count()
    if missing > 0:
        fill(-(-missing // plan.size.length), plan.size.length)
    acts: dict[str, Callable[[], Any]] = {
        "5 rebuild of emptied read tables, 1 process": rebuild.rebuild,
        "5 rebuild of emptied read tables, 2 processes": lambda: rebuild.rebuild(2),
        "5 rebuild of right read tables, 1 process": rebuild.rebuild,
        "5 rebuild of right read tables, 2 processes": lambda: rebuild.rebuild(2),
        "5 verify_log, 1 process": verify_log,
    }
    figures: dict[str, list[float]] = {name: [] for name in acts}
    for _ in range(min(plan.rounds, 3)):
        for name, act in acts.items():
            if "emptied" in name:
                empty_read_tables()
            start = time.perf_counter()
            done = act()
            figures[name].append(done.events / (time.perf_counter() - start))
    assert not rebuild.compare().differences
    seal_practice()  # the builders write plainly
    assert not verify_log().faults
    wanted = (None, 60_000, None, 60_000, 100_000)
    return [
        Bar.rate(name, rates, wanted=bar)
        for (name, rates), bar in zip(figures.items(), wanted, strict=True)
    ]


def empty_read_tables() -> None:
    """Every read table empty, as after a migration that made them anew."""
    quote = connection.ops.quote_name
    tables = [quote(model_of(one)._meta.db_table) for one in installed.projections.values()]
    with connection.cursor() as cursor:
        cursor.execute(f"TRUNCATE {', '.join(tables)}")
