"""Due work of the benchmark that costs nothing itself, so that the tick is what is measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

from practice.core.jobs import JobKind

if TYPE_CHECKING:
    from practice.jobs.models import ScheduledJob
    from practice.work.unit_of_work import UnitOfWork

HANDLED, DELIVERED, PLAIN = "bench.handled", "bench.delivered", "bench.plain"
JOINED = "bench.joined"
TOGETHER = 20
KINDS = (
    JobKind(name=HANDLED, must_happen=True),
    JobKind(name=DELIVERED, must_happen=True),
    JobKind(name=JOINED, must_happen=True, together=TOGETHER),
)


def handle(uow: UnitOfWork, job: ScheduledJob) -> None:
    """Nothing, in the transaction that marks the row done."""


def deliver(job: ScheduledJob) -> None:
    """Nothing, outside any transaction."""
