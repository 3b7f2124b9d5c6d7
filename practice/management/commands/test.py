"""``manage.py test``: every check and all tests, on both engines, with a real Redis."""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from argparse import ArgumentParser
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from practice.management.processes import Group, NotStarted, StopRequested, stopping_on_signals
from practice.management.test_clocks import CLOCKS, instant_of
from practice.management.test_servers import Server, ServerMissing, postgresql, redis
from practice.management.test_steps import (
    ENGINES,
    REDIS_NUMBERS,
    SECOND,
    Result,
    Runner,
    Step,
    by_engine,
    checks,
    left_over,
    production_env,
    pytest_step,
    sharing,
)

FAULTS_A_DAY = 20
AT = "at "
"""Begins the name of a step that runs the tests on SQLite by another clock."""


class Command(BaseCommand):
    """Sets up what it needs, runs each step as a process of its own, counts."""

    help = "Lint, format, types, import rules, migrations, OpenAPI and all tests on both engines."
    requires_system_checks: list[str] = []
    every_fault = False
    clocks: dict[str, datetime]

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Options to run a part while developing."""
        parser.add_argument("paths", nargs="*", help="test files or folders (default: all)")
        parser.add_argument("--engine", choices=ENGINES, help="only the tests on this engine")
        parser.add_argument(
            "--only", action="append", choices=[*checks(), *ENGINES], help="only this step (repeat)"
        )
        parser.add_argument("-k", dest="keyword", help="only tests whose names match (pytest -k)")
        parser.add_argument(
            "--faults", action="store_true", help="plant every fault of the list (else some a day)"
        )
        parser.add_argument(
            "--clock",
            action="append",
            default=[],
            metavar="WHEN",
            help=f"the tests on SQLite by another clock (repeat): {', '.join(CLOCKS)}, or a time",
        )
        parser.add_argument("--full", action="store_true", help="harnesses at full length")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run; the last line alone is the sum, the exit status says whether all held."""
        try:
            self.clocks = clocks(options["clock"])
        except ValueError as unknown:
            raise CommandError(str(unknown)) from None
        start = time.monotonic()
        folder = Path(tempfile.mkdtemp(prefix="practice-test-"))
        try:
            with stopping_on_signals(), Group() as group:
                results = self.run_steps(group, folder, options)
        except StopRequested as stopped:
            raise CommandError(f"Stopped ({stopped}).") from None
        except (ServerMissing, NotStarted) as missing:
            self.stderr.write(str(missing))
            self.say("0 passed, 1 failed")
            raise SystemExit(1) from None
        finally:
            shutil.rmtree(folder, ignore_errors=True)
        self.summarise(results, time.monotonic() - start)
        if any(result.status for result in results):
            raise SystemExit(1)

    def run_steps(self, group: Group, folder: Path, options: dict[str, Any]) -> list[Result]:
        """Start the servers that are needed, then the steps two at a time."""
        names = self.wanted(options)
        servers = self.start_servers(group, folder, names)
        for name, server in servers.items():
            self.say(f"{name}: {server.version}")
        arguments = [*options["paths"], *(["-k", options["keyword"]] if options["keyword"] else [])]
        self.every_fault = options["faults"]
        steps = [self.step(name, folder, servers, arguments, options["full"]) for name in names]
        results = Runner(Path(settings.BASE_DIR), folder, self.say).run(steps, group)
        return [*results, *left_over(results, folder)]

    def wanted(self, options: dict[str, Any]) -> list[str]:
        """Names of the steps: SQLite beside the checks first, PostgreSQL when a core is free,
        and a second time when another is."""
        everything = ["sqlite", *self.clocks, *checks(), "postgresql"]
        chosen = {*(options["only"] or []), *self.clocks}
        chosen |= {"faults"} if options["faults"] else set()
        if options["engine"]:
            chosen.add(options["engine"])
        elif not chosen and (options["paths"] or options["keyword"]):
            chosen = set(ENGINES)
        names = [name for name in everything if not chosen or name in chosen]
        whole = not options["paths"] and not options["keyword"]
        return [*names, SECOND] if whole and "postgresql" in names else names

    def start_servers(self, group: Group, folder: Path, names: list[str]) -> dict[str, Server]:
        """A PostgreSQL and a Redis of its own, as far as the steps need them."""
        servers = {}
        if {"postgresql", "faults"} & set(names):
            servers["PostgreSQL"] = postgresql(
                group, folder / "postgresql", self.say, durable=False
            )
        if {"faults", *ENGINES} & set(names):
            servers["Redis"] = redis(group, folder / "redis", self.say)
        return servers

    def step(
        self, name: str, folder: Path, servers: dict[str, Server], arguments: list[str], full: bool
    ) -> Step:
        """A step with an environment of its own: database, Redis, folder for what it makes."""
        own = folder / f"var-{name}"
        env = {
            "PRACTICE_MODE": "development",
            "PRACTICE_VAR": str(own),
            "PRACTICE_FULL_HARNESS": "1" if full else "0",
            "DATABASE_URL": f"sqlite:///{own / 'practice.sqlite3'}",
            "KEYS_DATABASE_URL": "",
            "REDIS_URL": "",
            "DEBUG": "0",
            # All processes of a run use what the first of them compiled, whatever the caller has.
            "PYTHONDONTWRITEBYTECODE": "",
            "PYTHONPYCACHEPREFIX": str(folder / "bytecode"),
            "COLUMNS": os.environ.get("COLUMNS", "120"),
        }
        if name in self.clocks:
            # No Redis: real processes would go by the real time.
            env["PRACTICE_TEST_CLOCK"] = self.clocks[name].isoformat()
            return pytest_step(name, env, folder, arguments)
        if name in REDIS_NUMBERS:
            redis_url = servers["Redis"].url.removesuffix("/0")
            env["REDIS_URL"] = f"{redis_url}/{REDIS_NUMBERS[name]}"
        if name not in (*ENGINES, SECOND):
            env |= production_env() if name == "deploy" else {}
            if name == "faults":
                env["PRACTICE_FAULTS_POSTGRESQL"] = servers["PostgreSQL"].url
            return Step(
                name, (*checks()[name], *self.options_of(name, folder)), env, tells=name == "faults"
            )
        if name != "sqlite":
            env["DATABASE_URL"] = servers["PostgreSQL"].url
            env |= sharing(name, folder)
        return pytest_step(name, env, folder, arguments)

    def options_of(self, name: str, folder: Path) -> tuple[str, ...]:
        """Arguments of a check that depend on the run."""
        if name == "openapi":
            return ("--file", str(folder / "openapi.yml"))
        if name == "faults" and not self.every_fault:
            return ("--rotate", str(FAULTS_A_DAY))
        return ()

    def summarise(self, results: list[Result], seconds: float) -> None:
        """Tests per engine, checks, time, and the sum alone on the last line."""
        tests = [result for result in results if result.step.counts]
        for engine, own in by_engine(tests).items():
            passed, failed, skipped = (
                sum(getattr(one, what) for one in own) for what in ("passed", "failed", "skipped")
            )
            more = f", {skipped} skipped" if skipped else ""
            self.say(f"Tests on {engine}: {passed} passed, {failed} failed{more}")
        held = sum(result.passed for result in results if not result.step.counts)
        self.say(f"Checks: {held} of {len(results) - len(tests)} held; {seconds:.0f} s in all")
        passed, failed = sum(r.passed for r in results), sum(r.failed for r in results)
        self.say(f"{passed} passed, {failed} failed")

    def say(self, text: str) -> None:
        """A line, at once."""
        self.stdout.write(text)
        self.stdout.flush()


def clocks(asked: list[str]) -> dict[str, datetime]:
    """Steps by another clock: their names and the instants at which they begin."""
    today = datetime.now(UTC).date()
    return {f"{AT}{one}": instant_of(one, today) for one in asked}
