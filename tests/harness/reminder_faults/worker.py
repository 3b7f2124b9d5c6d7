"""A worker that dies where it is told to, or whose clock is wrong:
``celery -A tests.harness.reminder_faults.worker``.

``DIE_AT`` and ``DIE_AT_PASS``: kill -9 of the worker and its pool when it comes there so often.
``CLOCK_FILE``: a file with the seconds by which its clock is ahead; with ``CLOCK_OF_ALL=1`` the
database's is too, as on one machine. ``LEASE_SECONDS``: in place of four minutes.
``MAIL_SECONDS``: how long the mail server thinks.
"""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from celery.signals import worker_init

from practice.celery import app

__all__ = ["app"]

CLAIMED, WRITTEN, ACCEPTED = "claimed", "written", "accepted"
"""Claimed and not begun; done and not committed; taken by the mail server and not written down."""
POINTS: Final = {
    CLAIMED: ("practice.jobs.services", "handle_one", False),
    WRITTEN: ("practice.jobs.services", "finish", True),
    ACCEPTED: ("clients.reminders.services.sending", "send_mail", True),
}
"""The function in which each lies, and whether after it."""


def _dying(original: Callable[..., Any], pass_number: int, after: bool) -> Callable[..., Any]:
    left = pass_number

    def call(*args: Any, **kwargs: Any) -> Any:
        nonlocal left
        left -= 1
        if not after and left <= 0:
            os.killpg(os.getpgrp(), signal.SIGKILL)
        found = original(*args, **kwargs)
        if after and left <= 0:
            os.killpg(os.getpgrp(), signal.SIGKILL)
        return found

    return call


@worker_init.connect
def die_at(**_: Any) -> None:
    """Set the trap."""
    import importlib

    if where := os.environ.get("DIE_AT"):
        module, name, after = POINTS[where]
        place = importlib.import_module(module)
        setattr(place, name, _dying(getattr(place, name), int(os.environ["DIE_AT_PASS"]), after))


@worker_init.connect
def short_lease(**_: Any) -> None:
    """The row of one that died is another's after seconds."""
    from practice.jobs import claims, services

    if seconds := os.environ.get("LEASE_SECONDS"):
        claims.LEASE = timedelta(seconds=float(seconds))
        services.run_due_jobs.__kwdefaults__["seconds"] = float(seconds) / 3
        app.conf.update(task_soft_time_limit=float(seconds) * 0.8)


@worker_init.connect
def slow_mail(**_: Any) -> None:
    """The mail server takes its time."""
    from clients.reminders.services import sending

    if seconds := os.environ.get("MAIL_SECONDS"):
        fast = sending.send_mail

        def send_mail(*args: Any, **kwargs: Any) -> None:
            fast(*args, **kwargs)
            time.sleep(float(seconds))

        sending.send_mail = send_mail


def _seconds_ahead() -> timedelta:
    return timedelta(seconds=float(Path(os.environ["CLOCK_FILE"]).read_text() or 0))


if os.environ.get("CLOCK_FILE"):
    from practice import clock
    from practice.work import clock_check

    def now(_self: clock.Clock) -> datetime:
        """The time of the file."""
        return clock._set.get() or datetime.now(UTC) + _seconds_ahead()

    clock.Clock.now = now  # type: ignore[assignment, method-assign]
    if os.environ.get("CLOCK_OF_ALL") == "1":
        of_the_database = clock_check.database_now

        def database_now() -> datetime | None:
            """The database's clock goes with it."""
            found = of_the_database()
            return None if found is None else found + _seconds_ahead()

        clock_check.database_now = database_now
