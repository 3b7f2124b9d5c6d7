"""Due work of the benchmark that costs nothing itself, so that the tick is what is measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

from practice.core.jobs import JobKind

if TYPE_CHECKING:
    from practice.jobs.models import ScheduledJob
    from practice.work.unit_of_work import UnitOfWork

HANDLED, DELIVERED, PLAIN = "bench.handled", "bench.delivered", "bench.plain"
KINDS = tuple(JobKind(name=name, must_happen=True) for name in (HANDLED, DELIVERED))


def handle(uow: UnitOfWork, job: ScheduledJob) -> None:
    """Nothing, in the transaction that marks the row done."""


def deliver(job: ScheduledJob) -> None:
    """Nothing, outside any transaction."""
