"""Celery shell around the tick. No argument, no result, no time in the broker."""

from __future__ import annotations

import logging

from celery import shared_task

from practice.due.services import run_due

log = logging.getLogger(__name__)


@shared_task(name="practice.tick")
def tick() -> None:
    """Do what is due. Ten ticks or none change only how soon."""
    run_due()


def wake() -> None:
    """Send a tick now; a broker that is away costs nothing but time."""
    try:
        tick.apply_async(retry=False, expires=30)
    except Exception as error:  # noqa: BLE001
        # Any broker's own exception: the work stands in the table and the next tick finds it.
        log.warning("no broker to wake a worker: %s", type(error).__name__)
