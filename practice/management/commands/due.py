"""``due``: run one tick by hand or by cron."""

from typing import Any

from django.core.management.base import BaseCommand

from practice.jobs.hooks import each_tick
from practice.jobs.selectors import abandoned_jobs
from practice.jobs.services import mark_tick, run_due_jobs
from practice.jobs.standing import plan_standing_jobs


class Command(BaseCommand):
    """Does what is due now, as a worker would."""

    help = "Do the work that is due now (the same as a tick of the worker)."

    def handle(self, *args: Any, **options: Any) -> None:
        """Print what was done, and what was given up and waits for the owner."""
        mark_tick()
        plan_standing_jobs()
        each_tick()
        tick = run_due_jobs()
        self.stdout.write(f"{tick.done} done, {tick.failed} put back, {tick.lost} lost to another.")
        if given_up := abandoned_jobs().count():
            self.stdout.write(f"{given_up} given up: the owner's list of jobs has them.")
