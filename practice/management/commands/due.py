"""``due``: run one tick by hand or by cron."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from practice.core.reasons import Rejected
from practice.jobs.selectors import abandoned_jobs
from practice.jobs.ticking import one_tick


class Command(BaseCommand):
    """Does what is due now, as a worker would."""

    help = "Do the work that is due now (the same as a tick of the worker)."

    def handle(self, *args: Any, **options: Any) -> None:
        """Print what was done, and what was given up and waits for the owner."""
        try:
            tick = one_tick()
        except Rejected as wrong_clock:
            raise CommandError(str(wrong_clock)) from None
        self.stdout.write(f"{tick.done} done, {tick.failed} put back, {tick.lost} lost to another.")
        if given_up := abandoned_jobs().count():
            self.stdout.write(f"{given_up} given up: the owner's list of jobs has them.")
