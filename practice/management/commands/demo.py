"""``manage.py demo``: the whole practice on this machine, and one client's way through it."""

from __future__ import annotations

import importlib
import time
import traceback
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import get_commands
from django.core.management.base import BaseCommand, CommandError

from practice.management.demo_processes import TICK_SECONDS, DemoFailed, DemoProcesses
from practice.management.processes import Group, NotStarted, StopRequested, stopping_on_signals

STORY = "practice.demo.story"


class Command(BaseCommand):
    """Migrates, loads the demo practice, starts every process, plays the story, serves."""

    help = "Start the demo practice, play one client's way through it over HTTP, then serve it."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Options of the demo."""
        parser.add_argument("--exit", action="store_true", help="stop after the story")
        parser.add_argument("--port", type=int, default=8000, help="port of the API (default 8000)")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run; with --exit the status is 0 only if every step of the story held."""
        if settings.PRODUCTION:
            raise CommandError("demo makes made-up people: it does not run in production mode.")
        held = False
        try:
            with stopping_on_signals(), Group() as group:
                demo = DemoProcesses(Path(settings.BASE_DIR), settings.VAR, group, self.say)
                address = self.bring_up(demo, options["port"])
                held = self.play(address)
                if not options["exit"]:
                    self.serve(demo, address)
        except StopRequested:
            self.say("Ended, with every process that was started.")
        except (DemoFailed, NotStarted) as problem:
            raise CommandError(str(problem)) from None
        if options["exit"]:
            self.say("Every step held." if held else "Not every step held.")
            raise SystemExit(0 if held else 1)

    def bring_up(self, demo: DemoProcesses, port: int) -> str:
        """Database, data, broker, API server, worker and beat; returns the API's address."""
        demo.alone()
        self.say("Preparing the database ...")
        demo.manage("migrate", "--no-input", "--verbosity=0")
        if "load_demo" in get_commands():
            demo.manage("load_demo")
        demo.start_broker()
        address = demo.start_server(port)
        demo.start_worker()
        demo.start_beat()
        self.say(f"Celery: one worker, beat every {TICK_SECONDS} s; logs in {demo.logs}")
        return address

    def play(self, address: str) -> bool:
        """The story over HTTP; whether every step held."""
        try:
            return bool(importlib.import_module(STORY).play(address))
        except StopRequested:
            raise
        except Exception:  # noqa: BLE001  whatever broke the story is shown, and fails it
            self.say(traceback.format_exc())
            return False

    def serve(self, demo: DemoProcesses, address: str) -> None:
        """Tell where and as whom, then watch over the processes until Ctrl-C."""
        self.say(f"\nInteractive documentation: {address}/api/v1/docs")
        self.say(f"OpenAPI file:              {address}/api/v1/schema")
        self.say(f"First requests to paste:   README.md, after  export BASE={address}/api/v1")
        for role, name, password in importlib.import_module(STORY).LOGINS:
            self.say(f"  {role:<14}{name:<24}{password}")
        self.say("Ctrl-C ends everything.")
        while not (ended := demo.group.ended()):
            time.sleep(0.5)
        raise DemoFailed(f"{ended[0].name} ended by itself:\n{ended[0].last_lines()}")

    def say(self, text: str) -> None:
        """A line, at once."""
        self.stdout.write(text)
        self.stdout.flush()
