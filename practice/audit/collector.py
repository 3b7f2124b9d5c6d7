"""The cycle collector held off while thousands of objects are made that lie in no cycle."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


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
