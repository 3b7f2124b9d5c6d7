"""``rebuild``: make the read tables again from the log, or compare them with it."""

import time
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from practice.audit import rebuild


class Command(BaseCommand):
    """Rebuilds, or with ``--check`` compares every column both ways."""

    help = "Make every read table again from the log; --check only compares."

    def add_arguments(self, parser: CommandParser) -> None:
        """Compare instead of rebuild; several processes for a long log on PostgreSQL."""
        parser.add_argument("--check", action="store_true", help="compare, change nothing")
        parser.add_argument("--processes", type=int, default=1, help="rebuild with so many")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print how much was done; fail on any difference."""
        began = time.perf_counter()
        done = rebuild.compare() if options["check"] else rebuild.rebuild(options["processes"])
        seconds = time.perf_counter() - began
        for difference in done.differences:
            self.stderr.write(difference)
        self.stdout.write(
            f"{done.rows} rows from {done.events} events of {done.streams} clients"
            f" in {seconds:.2f} s, {len(done.differences)} differences."
        )
        if done.differences and options["check"]:
            raise CommandError("Read tables differ from the log. `rebuild` makes them again.")
        if done.differences:
            raise CommandError("What is named above could not be made again as it was written.")
