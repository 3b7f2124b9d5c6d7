"""Wakes a worker. The work stands in the table; without a wake the next tick finds it.

A request waits for the broker once, for a short time. After a failure nobody tries for some
seconds: a broker that is away or frozen must not hold every request after its commit.
"""

from __future__ import annotations

import logging
import threading
import time
from typing import Final

from celery import current_app
from kombu import Connection

log = logging.getLogger(__name__)

PATIENCE_SECONDS: Final = 0.3
"""For the connection and for each answer of the broker."""
PAUSE_SECONDS: Final = 5.0
"""After a failure no wake is sent for so long."""


class Circuit:
    """Open while the broker is taken for away: of the whole process."""

    open_until = float("-inf")


class _Mine(threading.local):
    """The connection of a thread, kept from wake to wake."""

    address = ""
    connection: Connection | None = None


circuit = Circuit()
_mine = _Mine()


def wake_workers() -> None:
    """Send a tick now; a broker that is away costs a fraction of a second, and that seldom."""
    if time.monotonic() < circuit.open_until:
        return
    try:
        current_app.send_task("practice.tick", retry=False, expires=30, connection=_connection())
    except Exception as error:  # noqa: BLE001
        # Any broker's own exception: it is only a wake.
        _mine.connection = None
        circuit.open_until = time.monotonic() + PAUSE_SECONDS
        log.warning("no broker to wake a worker: %s", type(error).__name__)


def _connection() -> Connection:
    """The connection of this thread, made on first use and after a failure."""
    address = str(current_app.conf.broker_url)
    if _mine.connection is None or _mine.address != address:
        _mine.address, _mine.connection = address, short_connection()
    return _mine.connection


def load_transport() -> None:
    """Import what talks to the broker, without talking to it: else the first request that wakes
    a worker waits for that."""
    _ = short_connection().transport


def short_connection() -> Connection:
    """A connection to the broker with the patience of a request instead of a worker's."""
    conf = current_app.conf
    options = {
        **conf.broker_transport_options,
        "max_retries": 0,
        "socket_connect_timeout": PATIENCE_SECONDS,
        "socket_timeout": PATIENCE_SECONDS,
        "retry_on_timeout": False,
    }
    return Connection(conf.broker_url, connect_timeout=PATIENCE_SECONDS, transport_options=options)
