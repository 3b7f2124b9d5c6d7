"""``verify_log``: check the chain of every stream, and what is sealed beside it."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from practice.audit.verification import verify_log


class Command(BaseCommand):
    """Finds a changed byte, a removed, swapped, doubled or added event, and whatever was changed
    in keys, practice rows, the log of reads or kept answers."""

    help = "Check the log, its digests and all that is sealed beside it."

    def add_arguments(self, parser: CommandParser) -> None:
        """Which digests to check against."""
        parser.add_argument(
            "--digest",
            type=Path,
            action="append",
            help="a digest kept elsewhere, any number of times; without it all in their folder",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Print what was checked; fail on any fault."""
        found = verify_log(options["digest"])
        for fault in found.faults:
            self.stderr.write(fault)
        for note in found.notes:
            self.stdout.write(note)
        self.stdout.write(
            f"{found.events} events of {found.streams} clients checked,"
            f" {len(found.faults)} faults found."
        )
        if found.faults:
            raise CommandError("The record is not as it was written.")
