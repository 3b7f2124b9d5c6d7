"""Celery shell around the tick. No argument, no result, no time in the broker."""

from __future__ import annotations

from celery import shared_task

from practice.jobs.hooks import each_tick
from practice.jobs.services import mark_tick, run_due_jobs
from practice.jobs.standing import plan_standing_jobs


@shared_task(name="practice.tick")
def tick() -> None:
    """Do what is due. Ten ticks or none change only how soon."""
    mark_tick()
    plan_standing_jobs()
    each_tick()
    run_due_jobs()
