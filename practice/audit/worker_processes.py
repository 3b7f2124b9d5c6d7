"""One piece of work after the other, in several processes."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import TypeVar

from django.db import connections

Piece = TypeVar("Piece")
Done = TypeVar("Done")


def in_processes(
    processes: int, work: Callable[[Piece], Done], pieces: Sequence[Piece]
) -> Iterator[Done]:
    """What the work gives for each piece, in no order; this process is one of ``processes``.

    The others are forked: to import the program again took as long as 50,000 events. They work
    from the beginning of the list and this one from its end, until they meet. Connections to
    databases are closed before, so that each process opens its own.
    """
    if processes == 1:
        yield from map(work, pieces)
        return
    connections.close_all()
    others = ProcessPoolExecutor(processes - 1, mp_context=multiprocessing.get_context("fork"))
    with others:
        handed_out = [(others.submit(work, piece), piece) for piece in pieces]
        for future, piece in reversed(handed_out):
            yield work(piece) if future.cancel() else future.result()
