"""Work that no event causes: each tick asks for it, and each occasion is done once."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from practice.clock import clock
from practice.core.appspec import ExtensionPoint
from practice.core.decisions import Job
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import write_jobs

STANDING_JOBS = ExtensionPoint[Callable[[datetime], Job]]("standing jobs")
"""``job(now)``: what is to be done by now; a new occasion is a new row."""


def plan_standing_jobs() -> None:
    """Plan what is to be done by now; however many ticks ask, each occasion is one row."""
    now = clock.now()
    for job_at in STANDING_JOBS.answers:
        job = job_at(now)
        if not ScheduledJob.objects.filter(key=job.key).exists():
            write_jobs([job])
