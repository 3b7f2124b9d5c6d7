"""The connection to the mail server: one for all mails of a batch of jobs.

Opening one, with its encryption and its sign-in, takes longer than a message does.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from django.core.mail import get_connection
from django.core.mail.backends.base import BaseEmailBackend

log = logging.getLogger(__name__)


class _Batch:
    """The connection that the last mail of a batch left open."""

    connection: BaseEmailBackend | None = None

    def take(self) -> BaseEmailBackend | None:
        """Take it out, if the server is still there: one that waited may have hung up."""
        found, self.connection = self.connection, None
        if found is not None and not _is_there(found):
            _take_leave(found)
            return None
        return found


_batch: ContextVar[_Batch | None] = ContextVar("mails_of_a_batch", default=None)


@contextmanager
def one_mail_connection() -> Iterator[None]:
    """Mails of this block go out over one connection, which is left at its end."""
    mine = _Batch()
    token = _batch.set(mine)
    try:
        yield
    finally:
        _batch.reset(token)
        if mine.connection is not None:
            _take_leave(mine.connection)


@contextmanager
def mail_connection() -> Iterator[BaseEmailBackend]:
    """An open connection for one mail: that of the mail before, within a batch. After a failure
    it is left, so that nothing of it reaches the next mail.

    Raises where the server is not there. Taking leave of the server fails no more.
    """
    batch = _batch.get()
    connection = (batch.take() if batch is not None else None) or _opened()
    try:
        yield connection
    except BaseException:
        _take_leave(connection)
        raise
    if batch is None:
        _take_leave(connection)
    else:
        batch.connection = connection


def _opened() -> BaseEmailBackend:
    connection = get_connection()
    try:
        connection.open()
    except BaseException:
        _take_leave(connection)
        raise
    return connection


def _is_there(connection: BaseEmailBackend) -> bool:
    """Whether the server still answers; a folder of files always does."""
    server: Any = getattr(connection, "connection", None)
    if server is None:
        return True
    try:
        return bool(server.noop()[0] == 250)
    except OSError:  # What smtplib raises is one.
        return False


def _take_leave(connection: BaseEmailBackend) -> None:
    try:
        connection.close()
    except Exception as error:  # noqa: BLE001  a time limit too: the message is out
        log.warning("the mail server was left in a hurry: %s", type(error).__name__)
