"""A process whose clock runs ahead writes nothing: it would shift what counts from when.

What is recorded at a time that has not come holds every later entry of that stream there, and
moves due days, consents and effective times. On SQLite everything is one machine, and nobody
else's clock to ask.
"""

from __future__ import annotations

import logging
import time
from datetime import datetime, timedelta
from typing import Final

from django.db import connection

from practice.clock import clock
from practice.core.reasons import Rejected

log = logging.getLogger(__name__)

MOST_AHEAD: Final = timedelta(minutes=5)
"""The clocks of two machines that are looked after differ by less than a second."""
CHECK_SECONDS: Final = 60.0


class LastCheck:
    """When this process last compared its clock, by its monotonic clock."""

    at = float("-inf")


last_check = LastCheck()


def database_now() -> datetime | None:
    """The time by the database's clock; None where there is none of its own."""
    if connection.vendor != "postgresql":
        return None
    with connection.cursor() as cursor:
        cursor.execute("SELECT clock_timestamp()")
        found: datetime = cursor.fetchone()[0]
    return found


def clock_ahead() -> timedelta:
    """How far this process's clock is ahead of the database's; negative: behind."""
    found = database_now()
    return clock.now() - found if found is not None else timedelta(0)


def require_right_clock() -> None:
    """Raises Rejected 503 where this process's clock is ahead; asked once a minute.

    A clock that a loader of history holds still is meant to differ.
    """
    if clock.held or time.monotonic() - last_check.at < CHECK_SECONDS:
        return
    ahead = clock_ahead()
    if ahead > MOST_AHEAD:
        log.error("the clock of this process is %s s ahead of the database's", ahead.seconds)
        raise Rejected(
            "clock_ahead",
            "The clock of this server is wrong; nothing was written. Set it right, then repeat.",
            status=503,
        )
    last_check.at = time.monotonic()
