"""``digest``: write today's heads of all streams to a file outside the database."""

from typing import Any

from django.core.management.base import BaseCommand

from practice.clock import clock
from practice.eventstore.digest import digest_folder, write_digest


class Command(BaseCommand):
    """Keep the file away from the database: it shows a tail that was cut off."""

    help = "Write a sealed digest of all streams outside the database (run it nightly)."

    def handle(self, *args: Any, **options: Any) -> None:
        """Print where the digest went."""
        self.stdout.write(str(write_digest(digest_folder(), clock.now().date())))
