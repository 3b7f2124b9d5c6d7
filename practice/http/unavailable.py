"""Which errors mean "not now": what is answered 503, and when to try again.

Judged from the error alone. Nothing here may ask the database: it is what is away.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from typing import Final, NamedTuple

from django.db import Error, InterfaceError, OperationalError

from practice.core.events import UnknownEventVersion
from practice.keys.canary import WrongKeysError
from practice.keys.keystore import UnreadableRecordError

log = logging.getLogger("practice.http")

LOCK_RETRY_SECONDS: Final = 2
OUTAGE_RETRY_SECONDS: Final = 10
UPDATE_RETRY_SECONDS: Final = 60
_LOCK_STATES: Final = {"55P03", "40P01", "40001"}
"""PostgreSQL: lock_not_available, deadlock_detected, serialization_failure."""
_OUTAGE_CLASSES: Final = ("08", "53", "57", "58")
"""SQLSTATE classes: connection, resources, operator intervention, errors of its system."""
_SQLITE_OUTAGES: Final = (
    "disk is full",
    "unable to open database",
    "disk i/o error",
    "readonly database",
    "disk image is malformed",
)


class Unavailability(NamedTuple):
    """What the caller is told, and after how many seconds they may try again."""

    code: str
    detail: str
    retry_seconds: int


def unavailability_of(exc: BaseException) -> Unavailability | None:
    """Why an error is a 503; None for one that is a fault of the program.

    An error raised while another was being handled (a broken transaction that is used again)
    is judged by the one that came first.
    """
    if isinstance(exc, UnknownEventVersion):
        log.error("the log holds an event that this process cannot read: %s", exc)
        return Unavailability(
            "newer_record",
            "This record was written by a newer version of the program. Try again later.",
            UPDATE_RETRY_SECONDS,
        )
    if isinstance(exc, WrongKeysError):
        log.error("%s", exc)
        return Unavailability(
            "wrong_keys",
            "The program runs with keys that are not this practice's. Nothing was written.",
            UPDATE_RETRY_SECONDS,
        )
    if isinstance(exc, UnreadableRecordError):
        log.error("a record cannot be read: %s", exc)
        return Unavailability(
            "record_unreadable",
            "Something of this record cannot be opened. Nothing was written; the owner finds out"
            " what it is by GET /log/verification, and brings it back from a backup.",
            UPDATE_RETRY_SECONDS,
        )
    if not isinstance(exc, Error):
        return None
    found = [one for one in _chain(exc) if isinstance(one, Error)]
    if any(is_lock_timeout(one) for one in found):
        return Unavailability(
            "busy",
            "Someone else is writing to the same record. Nothing was written; try again.",
            LOCK_RETRY_SECONDS,
        )
    if gone := next((one for one in found if is_out_of_reach(one)), None):
        log.error("the database is out of reach: %s", type(gone.__cause__ or gone).__name__)
        return Unavailability(
            "database_unavailable",
            "The database cannot be used at the moment. Nothing was written; try again.",
            OUTAGE_RETRY_SECONDS,
        )
    return None


def _chain(exc: BaseException | None) -> Iterator[BaseException]:
    seen: set[int] = set()
    while exc is not None and id(exc) not in seen:
        seen.add(id(exc))
        yield exc
        exc = exc.__cause__ or exc.__context__


def is_lock_timeout(exc: Exception) -> bool:
    """Whether a database error means that a lock was not had in time."""
    state = getattr(exc.__cause__, "sqlstate", None)
    return state in _LOCK_STATES or "database is locked" in str(exc)


def is_out_of_reach(exc: Exception) -> bool:
    """Whether a database error means no connection, no room, or a statement cut off.

    A connection of PostgreSQL that was never made, or broke off, has no SQLSTATE.
    """
    cause = exc.__cause__
    if type(cause).__module__.startswith("psycopg"):
        state = getattr(cause, "sqlstate", None)
        if state is None:
            return isinstance(exc, OperationalError | InterfaceError)
        return str(state).startswith(_OUTAGE_CLASSES)
    text = str(exc).lower()
    return "connection already closed" in text or any(one in text for one in _SQLITE_OUTAGES)
