"""The collection of cycles, held off where it finds nothing."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


def leave_start_up_alone() -> None:
    """Call once all is imported. Modules and classes live as long as the process; to walk through
    all of them again and again took up to a third of the time of a long fold. Collecting is on
    from here on."""
    gc.collect()
    gc.freeze()
    gc.enable()


@contextmanager
def collector_paused() -> Iterator[None]:
    """Python looks for cycles again and again while many objects are alive: half the time of a
    batch of events. Events, rows and states hold none; they go when nothing names them. What
    else the block leaves in cycles is collected after it."""
    if not gc.isenabled():
        yield
        return
    gc.disable()
    try:
        yield
    finally:
        gc.enable()
