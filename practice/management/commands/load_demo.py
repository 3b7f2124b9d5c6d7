"""``load_demo``: the demo practice and three months of its past."""

from __future__ import annotations

import os
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from practice.demo import people
from practice.demo.callers import Inside
from practice.demo.recovering import Past, clock_now
from practice.demo.setting_up import set_up
from practice.models import Staff


class Command(BaseCommand):
    """Loads the demo once; a practice that has an owner is left as it is."""

    help = "Load the demo practice: made-up people and three months of history."

    def add_arguments(self, parser: CommandParser) -> None:
        """How much of it."""
        parser.add_argument(
            "--without-history", action="store_true", help="only the practice, no clients"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Set the practice up through the API, then play its past."""
        if settings.PRODUCTION:
            raise CommandError("load_demo makes made-up people: not in production mode.")
        if Staff.objects.exists():
            self.stdout.write("The practice is there already; nothing is loaded.")
            return
        os.environ["OWNER_PASSWORD"] = people.PASSWORD
        call_command("owner", "owner", "Saskia Thorn", stdout=self.stdout)
        now, inside = clock_now(), Inside()
        self.stdout.write("Setting the demo practice up through its own API ...")
        ids = set_up(inside, now.date())
        if not options["without_history"]:
            self.stdout.write("Playing three months of its past ...")
            self.stdout.flush()
            acts = Past(inside, ids, now).play()
            self.stdout.write(f"{acts} acts of 8 clients were played.")
