"""``digest``: write today's heads of all streams to a file outside the database."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from practice.clock import clock
from practice.eventstore.digest import write_digest


class Command(BaseCommand):
    """Keep the file away from the database: it shows a tail that was cut off."""

    help = "Write a sealed digest of all streams to var/digests/ (run it nightly)."

    def handle(self, *args: Any, **options: Any) -> None:
        """Print where the digest went."""
        self.stdout.write(str(write_digest(settings.VAR / "digests", clock.now().date())))
