"""``verify_log``: check the chain of every stream."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from practice.audit.verification import verify_log
from practice.eventstore.digest import check_digest


class Command(BaseCommand):
    """Finds a changed byte, a removed, swapped, doubled or added event."""

    help = "Check every event of the log against its chain, and against earlier digests."

    def add_arguments(self, parser: CommandParser) -> None:
        """Which digests to check against."""
        parser.add_argument("--digest", type=Path, action="append", default=[])

    def handle(self, *args: Any, **options: Any) -> None:
        """Print what was checked; fail on any fault."""
        found = verify_log()
        for path in options["digest"]:
            found.faults += check_digest(path)
        for fault in found.faults:
            self.stderr.write(fault)
        self.stdout.write(
            f"{found.events} events of {found.streams} clients checked,"
            f" {len(found.faults)} faults found."
        )
        if found.faults:
            raise CommandError("The log is not as it was written.")
