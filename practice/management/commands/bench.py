"""``manage.py bench``: the program beside its peers, on a PostgreSQL of its own."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from practice.clock import clock
from practice.management.processes import Group, NotStarted, StopRequested, stopping_on_signals
from practice.management.test_servers import ServerMissing, postgresql, redis


class Command(BaseCommand):
    """Starts the servers, runs ``python -m tests.bench`` there, keeps the figures."""

    help = "Measure the program beside its peers; prints a table, writes var/bench/<time>.json."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Which bars, how often."""
        parser.add_argument("--bars", nargs="*", default=[], help="only these, e.g. 1 4 growth")
        parser.add_argument("--rounds", type=int, default=5, help="interleaved runs (default 5)")
        parser.add_argument("--clients", type=int, help="of the large practice (default 20000)")
        parser.add_argument("--tiny", action="store_true", help="only see that every bar runs")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run; the status says whether it could be measured, not how well it did."""
        figures = settings.VAR / "bench" / f"{clock.now():%Y%m%dT%H%M%SZ}.json"
        figures.parent.mkdir(parents=True, exist_ok=True)
        try:
            with (
                tempfile.TemporaryDirectory(prefix="practice-bench-") as folder,
                stopping_on_signals(),
                Group() as group,
            ):
                self.measure(group, Path(folder), figures, options)
        except StopRequested as stopped:
            raise CommandError(f"Stopped ({stopped}).") from None
        except (ServerMissing, NotStarted) as missing:
            raise CommandError(str(missing)) from None
        self.stdout.write(f"Raw runs: {figures}")

    def measure(self, group: Group, folder: Path, figures: Path, options: dict[str, Any]) -> None:
        """One run in an environment of its own."""
        database = postgresql(group, folder / "postgresql", self.stdout.write)
        broker = redis(group, folder / "redis", self.stdout.write)
        self.stdout.write(f"PostgreSQL: {database.version}, {broker.version}")
        self.stdout.flush()
        command = [sys.executable, "-m", "tests.bench", f"--out={figures}"]
        command += [f"--rounds={options['rounds']}"]
        command += [f"--clients={options['clients']}"] if options["clients"] else []
        command += ["--tiny"] if options["tiny"] else []
        command += ["--bars", *options["bars"]] if options["bars"] else []
        env = os.environ | {
            "PRACTICE_NO_VENV": "1",
            "PRACTICE_MODE": "development",
            "PRACTICE_VAR": str(folder / "var"),
            "DATABASE_URL": database.url,
            "KEYS_DATABASE_URL": "",
            "REDIS_URL": broker.url,
            "DEBUG": "0",
        }
        done = subprocess.run(command, cwd=settings.BASE_DIR, env=env, check=False)
        if done.returncode:
            raise CommandError("The benchmark did not come to its end (above).")
