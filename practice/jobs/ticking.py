"""One tick, by the worker or by hand."""

from __future__ import annotations

from practice.jobs.hooks import each_tick
from practice.jobs.services import TickResult, mark_tick, run_due_jobs
from practice.jobs.standing import plan_standing_jobs
from practice.work.clock_check import require_right_clock


def one_tick() -> TickResult:
    """Do what is due. Raises Rejected 503 where the clock of this process is ahead: it would do
    things too early, and put off by its own time what it fails at."""
    require_right_clock()
    mark_tick()
    plan_standing_jobs()
    each_tick()
    return run_due_jobs()
