"""Who handles which kind of due work."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from practice.jobs.models import ScheduledJob
    from practice.work.unit_of_work import UnitOfWork

Handler = Callable[["UnitOfWork", "ScheduledJob"], None]

_handlers: dict[str, Handler] = {}


def job_handler(kind: str) -> Callable[[Handler], Handler]:
    """Decorator: ``handle(uow, job)`` decides again whether the work is still
    wanted and does it, inside the transaction that marks the row done."""

    def register(handle: Handler) -> Handler:
        _handlers[kind] = handle
        return handle

    return register


class JobPostponed(Exception):
    """What is due must wait until ``until``; it does not count as a failure."""

    def __init__(self, until: datetime) -> None:
        super().__init__(until.isoformat())
        self.until = until


Delivery = Callable[["ScheduledJob"], None]

_deliveries: dict[str, Delivery] = {}


def job_delivery(kind: str) -> Callable[[Delivery], Delivery]:
    """Decorator: ``deliver(job)`` hands something to the world outside (mail).

    It runs outside any transaction, so that a slow server holds no lock; the row is marked
    done afterwards. Where the process dies between the two it runs again: what it hands over
    must bear the same identifier each time.
    """

    def register(deliver: Delivery) -> Delivery:
        _deliveries[kind] = deliver
        return deliver

    return register


def delivery_of(kind: str) -> Delivery | None:
    """The delivery of a kind, or None."""
    return _deliveries.get(kind)


def handler_of(kind: str) -> Handler | None:
    """The handler of a kind, or None."""
    return _handlers.get(kind)
