"""Writing down what the world outside has taken: nothing must come between."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from typing import Final

from celery.exceptions import SoftTimeLimitExceeded
from django.db import Error, connection

PAUSES: Final = (0.2, 1.0, 3.0, 10.0, 10.0, 10.0)
"""Seconds between the tries: a database that is restarted is there again by then. All of them are
over before a task must end that took its last batch in its last moment; the lease lasts longer."""


def keep_accepted(write: Callable[[], object]) -> None:
    """Write, outside any transaction, that something was taken; what interrupts meanwhile comes
    after that. Raises what ``write`` raised at last.

    Else a time limit, a lock or a database that went away in just this moment would hand it over
    again.
    """
    interrupted: SoftTimeLimitExceeded | None = None
    for pause in (*PAUSES, None):
        try:
            write()
            break
        except SoftTimeLimitExceeded as limit:
            interrupted = limit
        except Error:
            if pause is None:
                raise
            interrupted = _waited(pause) or interrupted
    if interrupted is not None:
        raise interrupted


def _waited(seconds: float) -> SoftTimeLimitExceeded | None:
    """What interrupted the pause, or the look at the connection after it: that comes after the
    writing too."""
    interrupted: SoftTimeLimitExceeded | None = None
    for step in (partial(time.sleep, seconds), connection.close_if_unusable_or_obsolete):
        try:
            step()
        except SoftTimeLimitExceeded as limit:
            interrupted = limit
    return interrupted
