"""``bounces``: take in reports of mail that came back, from files or from the standard input."""

import sys
from email import message_from_bytes, policy
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from clients.reminders.services.bounces import take_bounce


class Command(BaseCommand):
    """For the mail server's pipe: ``… | manage.py bounces``."""

    help = "Keep which addresses take no mail, from reports (RFC 3464) in files or on stdin."

    def add_arguments(self, parser: CommandParser) -> None:
        """Files, or none."""
        parser.add_argument("files", nargs="*", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        """Print how many named an address."""
        files: list[Path] = options["files"]
        reports = [one.read_bytes() for one in files] or [sys.stdin.buffer.read()]
        kept = sum(take_bounce(message_from_bytes(one, policy=policy.compat32)) for one in reports)
        self.stdout.write(f"{kept} of {len(reports)} named an address that takes no mail.")
