"""``load_demo``: the demo practice and three months of its past."""

from __future__ import annotations

import os
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection

from practice.celery import app
from practice.demo import people
from practice.demo.callers import InProcessCaller, sign_in_demo_user
from practice.demo.clients import COURSES
from practice.demo.recovery_history import HistoryPlayer, clock_now
from practice.demo.setup import require_success, set_up
from practice.people_and_places.models.staff import Staff
from practice.policy.models import Practice


class Command(BaseCommand):
    """Loads the demo once; a practice that has an owner is left as it is."""

    help = "Load the demo practice: made-up people and three months of history."

    def add_arguments(self, parser: CommandParser) -> None:
        """How much of it."""
        most = len(COURSES)
        parser.add_argument(
            "--clients", type=int, default=most, help=f"clients with a past, 0 to {most}"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Set the practice up through the API, then play its past."""
        if settings.PRODUCTION:
            raise CommandError("load_demo makes made-up people: not in production mode.")
        if Practice.objects.filter(name=people.PRACTICE).exists():
            self.stdout.write("The demo practice is there already.")
            return
        if Staff.objects.exists():
            raise CommandError(
                f"Another practice, or a demo that was cut short, is in this database. Remove"
                f" {settings.VAR} or set DATABASE_URL to an empty one, then start again."
            )
        with connection.cursor() as cursor:
            # Made-up people: a load cut short is thrown away, so nothing waits for the disk.
            quick = {"sqlite": "PRAGMA synchronous=OFF", "postgresql": "SET synchronous_commit=off"}
            cursor.execute(quick[connection.vendor])
        app.conf.update(
            broker_url="memory://"
        )  # No worker is there yet; the first tick finds the work.
        os.environ["OWNER_PASSWORD"] = people.PASSWORD
        call_command("owner", "owner", "Saskia Thorn", stdout=self.stdout)
        now, inside = clock_now(), InProcessCaller()
        self.stdout.write("Setting the demo practice up through its own API ...")
        ids = set_up(inside, now.date())
        courses = COURSES[: options["clients"]]
        self.stdout.write("Playing three months of its past ...")
        self.stdout.flush()
        acts = HistoryPlayer(inside, ids, now).play(courses)
        self.stdout.write(f"{acts} acts of {len(courses)} clients were played.")
        inside.instant = None
        owner = sign_in_demo_user(inside, "owner", "owner", people.PASSWORD)
        require_success(
            owner.send(
                "PATCH",
                "/practice",
                {
                    "name": people.PRACTICE,
                    "zone": "America/Los_Angeles",
                    "phone": "+14155550100",
                    "postal_address": "7 Wharf Street\nPort Alder",
                },
                match=owner.send("GET", "/practice").headers["etag"],
            )
        )
