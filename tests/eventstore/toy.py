"""A small stream of events for testing the log itself: a shelf that takes and gives cups."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from uuid import UUID

from practice.core.appspec import installed
from practice.core.decisions import Context, Decided, Job, JobPlan, Slice
from practice.core.events import Event, EventType, RecordedEvent, registry
from practice.core.reasons import Rejected


class CupPut(Event, frozen=True, kw_only=True):
    """A cup was put on the shelf."""

    name: str


class CupTaken(Event, frozen=True, kw_only=True):
    """The one cup was taken."""

    by: str


class CupCounted(Event, frozen=True, kw_only=True):
    """A reactor counted the cups."""

    cups: int


class _Shelf:
    def __init__(self) -> None:
        self.cups: list[str] = []
        self.taken = 0
        self.counted = -1


TOY = sys.modules[__name__]
SHELF: Slice[_Shelf, tuple[tuple[str, ...], int]] = Slice(
    "toy shelf",
    initial=_Shelf,
    freeze=lambda one: (tuple(one.cups), one.taken),
    watches=(TOY,),
    ignores=(CupCounted,),
)
COUNT: Slice[_Shelf, int] = Slice(
    "toy count",
    initial=_Shelf,
    freeze=lambda one: one.counted,
    watches=(TOY,),
    ignores=(CupPut, CupTaken),
)
REMIND = JobPlan("toy remind", watches=(TOY,), ignores=(CupTaken, CupCounted))


@SHELF.on(CupPut)
def cup_put(shelf: _Shelf, event: CupPut, meta: RecordedEvent) -> None:
    shelf.cups.append(event.name)


@SHELF.on(CupTaken)
def cup_taken(shelf: _Shelf, event: CupTaken, meta: RecordedEvent) -> None:
    shelf.taken += 1


@COUNT.on(CupCounted)
def cup_counted(shelf: _Shelf, event: CupCounted, meta: RecordedEvent) -> None:
    shelf.counted = event.cups


@REMIND.on(CupPut)
def remind(event: CupPut, meta: RecordedEvent) -> list[Job]:
    return [Job("toy", meta.stream, occasion=str(meta.version))]


def put(name: str) -> Any:
    """Decision: put a cup on the shelf."""
    return lambda states, context: [CupPut(name=name)]


def take(by: str) -> Any:
    """Decision: take the one cup; only one may."""

    def decide(states: Any, context: Context) -> Decided:
        if states[SHELF][1]:
            raise Rejected("gone", "The cup is gone.")
        return [CupTaken(by=by)]

    return decide


@contextmanager
def registered() -> Iterator[None]:
    """The toy's events and slices known to the program for the block."""
    names: dict[type[Event], str] = {
        CupPut: "toy.put",
        CupTaken: "toy.taken",
        CupCounted: "toy.counted",
    }
    for cls, name in names.items():
        registry.by_name[name] = registry.by_class[cls] = EventType(name, 1, cls)
    installed.slices.update({one.name: one for one in (SHELF, COUNT)})
    try:
        yield
    finally:
        for cls, name in names.items():
            del registry.by_name[name], registry.by_class[cls]
        del installed.slices[SHELF.name], installed.slices[COUNT.name]


def client(number: int = 0) -> UUID:
    """A new stream with its key and nothing in it."""
    from practice.work.unit_of_work import new_client_stream, unit_of_work
    from tests.dsl import DESK

    client_id = new_client_stream()
    with unit_of_work(actor=DESK, request_id=f"toy-{number}") as uow:
        uow.create(client_id)
        uow.execute(client_id, (SHELF,), put("first"))
    return client_id


def run(client_id: UUID, decide: Any, slices: Any = (SHELF,), **options: Any) -> Any:
    """One unit of work with one command."""
    from practice.work.unit_of_work import unit_of_work
    from tests.dsl import DESK

    with unit_of_work(actor=DESK, request_id="toy") as uow:
        return uow.execute(client_id, slices, decide, **options)
