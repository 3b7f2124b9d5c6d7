"""The owner puts back work that was given up."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from practice.clock import clock
from practice.core.reasons import Rejected
from practice.jobs.models import ScheduledJob
from practice.jobs.selectors import abandoned_jobs
from practice.jobs.wake import wake_workers
from practice.policy.change_log import record_change
from practice.policy.row_seals import snapshot
from practice.work.unit_of_work import UnitOfWork


def jobs_put_back(uow: UnitOfWork, *, command: Mapping[str, Any]) -> int:
    """Everything that was given up is due again now; how many rows.

    Each stands in the history of changes with the ``reason``. Raises Rejected 409 where there
    is nothing to put back.
    """
    found = list(abandoned_jobs().select_for_update())
    if not found:
        raise Rejected("nothing_given_up", "No work was given up; nothing was put back.")
    for row in found:
        before = snapshot(row)
        row.status = ScheduledJob.Status.WAITING
        row.due_at, row.attempts, row.first_failed_at = clock.now(), 0, None
        row.save()
        record_change(uow, row, before, {**snapshot(row), "reason": command["reason"]})
    transaction.on_commit(wake_workers)
    return len(found)
