"""Who does which kind of job: what the specs of the apps brought, by kind.

A handler, ``handle(uow, job)``, decides again whether the work is still wanted and does it,
inside the transaction that marks the row done. Where its kind says so (``JobKind.together``),
that is one transaction for several rows: it is called for each in turn, their clients locked
before the first, and again for each alone where one of them fails. It must therefore leave no
trace but in the database, as ever. A delivery, ``deliver(job)``, does what needs the world
outside, or minutes. It runs outside any transaction, so that a slow server holds no lock; the
row is marked done afterwards. Where the process dies between the two it runs again. It returns
as soon as the world has taken it: whatever is slow after that runs at its own end.

A handover (``JobHandover``) is the delivery of something small, a mail: several go out between
two commits (``practice.jobs.handing_over``), over one way there, as mails do
(``practice.jobs.mail.mail_connection``). What it hands over must bear the same identifier each
time.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from practice.core.appspec import installed
from practice.core.jobs import JobHandover, JobKind

if TYPE_CHECKING:
    from practice.jobs.models import ScheduledJob
    from practice.work.unit_of_work import UnitOfWork

Handler = Callable[["UnitOfWork", "ScheduledJob"], None]
Delivery = Callable[["ScheduledJob"], None]


class JobPostponed(Exception):
    """What is due must wait until ``until``; it does not count as a failure."""

    def __init__(self, until: datetime) -> None:
        super().__init__(until.isoformat())
        self.until = until


class JobNotWanted(Exception):
    """What was to be delivered is wanted no more: the row says so, and not that it was done."""


def kind_of(name: str) -> JobKind:
    """A kind by its name. Raises LookupError for one that no installed app does."""
    if name not in job_kinds():
        raise LookupError(f"nobody handles or delivers jobs of kind {name!r}")
    return installed.job_kinds[name]


def handler_of(kind: str) -> Handler | None:
    """The handler of a kind, or None."""
    return installed.job_handlers.get(kind)


def job_kinds() -> list[str]:
    """Every kind of job that someone handles or delivers, in order."""
    return sorted({*installed.job_handlers, *installed.job_deliveries, *installed.job_handovers})


def delivery_of(kind: str) -> Delivery | None:
    """The delivery of a kind, or None."""
    return installed.job_deliveries.get(kind)


def handover_of(kind: str) -> JobHandover | None:
    """The handover of a kind, or None."""
    return installed.job_handovers.get(kind)
