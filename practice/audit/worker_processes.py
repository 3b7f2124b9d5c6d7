"""One piece of work after the other, in several processes.

How another process begins: nothing here needs Django before ``set_up_django`` has set it up.
What the process is given to do is imported afterwards, with the first piece of work.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import TypeVar

Piece = TypeVar("Piece")
Done = TypeVar("Done")


def set_up_django() -> None:
    """Set up Django, once in each process."""
    import django

    django.setup()


def in_processes(
    processes: int, work: Callable[[Piece], Done], pieces: Sequence[Piece]
) -> Iterator[Done]:
    """What the work gives for each piece, in no order; this process is one of ``processes``.

    The others take some seconds to begin. This one does not wait for them: it works from the
    end of the list and they from its beginning, until they meet.
    """
    if processes == 1:
        yield from map(work, pieces)
        return
    others = ProcessPoolExecutor(
        processes - 1,
        mp_context=multiprocessing.get_context("spawn"),
        initializer=set_up_django,
    )
    with others:
        handed_out = [(others.submit(work, piece), piece) for piece in pieces]
        for future, piece in reversed(handed_out):
            yield work(piece) if future.cancel() else future.result()
