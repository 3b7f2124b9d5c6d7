"""Celery shell around the tick. No argument, no result, no time in the broker."""

from __future__ import annotations

from celery import shared_task

from practice.jobs.ticking import one_tick


@shared_task(name="practice.tick")
def tick() -> None:
    """Do what is due. Ten ticks or none change only how soon."""
    one_tick()
