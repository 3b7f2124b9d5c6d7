"""The steps of ``manage.py test``: what each runs, side by side on two cores, and the counts."""

from __future__ import annotations

import base64
import os
import re
import secrets
import sys
import time
import xml.etree.ElementTree as ET
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from practice.env import KEY_BYTES
from practice.management.processes import Group, Process

ENGINES = ("sqlite", "postgresql")
SECOND = "postgresql-2"
"""A second process for the tests on PostgreSQL: it begins at the last file (tests/sharing.py)."""
REDIS_NUMBERS = {"sqlite": 0, "postgresql": 1, "faults": 2, SECOND: 3}
"""The Redis database of each step on the one server."""
COLLECTED = "collected"
"""Where the processes that share an engine's tests say how many these are."""
CODE = ("manage.py", "practice", "clients", "sessions", "billing", "tests")
SIDE_BY_SIDE = 2
HEARTBEAT_SECONDS = 20
_NOTE = re.compile(r"left out|the clock|SKIPPED|\d+\.\d+s (call|setup|teardown)")
_PERCENT = re.compile(r"\[\s*(\d+)%\]")


def production_env() -> dict[str, str]:
    """What a production start needs, with throw-away keys: for the deployment check."""
    names = ("PRACTICE_SECRET_KEY", "PRACTICE_MASTER_KEY", "PRACTICE_CHAIN_KEY")
    keys = {name: base64.b64encode(secrets.token_bytes(KEY_BYTES)).decode() for name in names}
    return keys | {
        "PRACTICE_MODE": "production",
        "ALLOWED_HOSTS": "record.example",
        "REDIS_URL": "redis://record.example:6379/0",
    }


@dataclass(frozen=True)
class Step:
    """One check or one engine's tests, run as a process of its own."""

    name: str
    command: tuple[str, ...]
    env: dict[str, str] = field(default_factory=dict)
    counts: Path | None = None
    """Where pytest writes its counts (JUnit XML); None for a check."""
    tells: bool = False
    """A check whose output is a table to be read, whether it held or not."""


@dataclass(frozen=True)
class Result:
    """How a step ended; a check counts as one."""

    step: Step
    status: int
    seconds: float
    output: str
    passed: int
    failed: int
    skipped: int = 0


def checks() -> dict[str, tuple[str, ...]]:
    """The checks by name; the slowest last, so that it runs beside the tests."""
    python = sys.executable
    return {
        "lint": (python, "-m", "ruff", "check", *CODE),
        "format": (python, "-m", "ruff", "format", "--check", *CODE),
        "imports": (python, "-c", "from importlinter.cli import lint_imports_command as c; c()"),
        "check": (python, "manage.py", "check", "--fail-level", "WARNING"),
        "deploy": (python, "manage.py", "check", "--deploy", "--fail-level", "WARNING"),
        "migrations": (python, "manage.py", "makemigrations", "--check", "--dry-run"),
        "openapi": (python, "manage.py", "spectacular", "--validate", "--fail-on-warn"),
        "faults": (python, "-m", "tests.faults"),
        "types": (python, "-m", "mypy", *CODE),
    }


def pytest_step(engine: str, env: dict[str, str], folder: Path, arguments: Sequence[str]) -> Step:
    """The tests on one engine."""
    counts = folder / f"{engine}.xml"
    command = (sys.executable, "-m", "pytest", "-q", "--color=no", f"--junit-xml={counts}")
    slowest = ("--durations=5", "--durations-min=5")
    return Step(engine, (*command, *slowest, *arguments), env, counts)


def sharing(name: str, folder: Path) -> dict[str, str]:
    """Environment of a process that takes each test file which no other took before."""
    taken = folder / "taken"
    taken.mkdir(exist_ok=True)
    env = {"PRACTICE_TEST_TAKEN": str(taken)}
    if name == SECOND:
        env |= {"PRACTICE_TEST_FROM_THE_END": "1", "PYTEST_DB_SUFFIX": "2"}
    return env


def by_engine(tests: Sequence[Result]) -> dict[str, list[Result]]:
    """The steps that ran tests, by the engine (or the clock) that they ran on."""
    found: dict[str, list[Result]] = {}
    for one in tests:
        name = "postgresql" if one.step.name == SECOND else one.step.name
        found.setdefault(name, []).append(one)
    return found


def left_over(results: Sequence[Result], folder: Path) -> list[Result]:
    """A failed check where the processes that share tests left some to one another."""
    shared = [one for one in results if one.step.name in ("postgresql", SECOND)]
    if not shared or any(one.status for one in shared):
        return []  # Who failed says so.
    there = int((folder / "taken" / COLLECTED).read_text())
    ran = sum(one.passed + one.failed + one.skipped for one in shared)
    if there == ran:
        return []
    said = f"{there} tests are there, {ran} were run"
    return [Result(Step("sharing", ()), 1, 0, said, 0, 1)]


class Runner:
    """Runs steps two at a time; tells of each when it ends, in full where it failed."""

    def __init__(self, root: Path, folder: Path, say: Callable[[str], object]) -> None:
        self.root, self.folder, self.say = root, folder, say
        self.results: list[Result] = []
        self._running: dict[str, tuple[Step, Process, float]] = {}

    def run(self, steps: Sequence[Step], group: Group) -> list[Result]:
        """Run all steps, whatever fails."""
        waiting, last_word = list(steps), time.monotonic()
        while waiting or self._running:
            while waiting and len(self._running) < SIDE_BY_SIDE:
                self._start(waiting.pop(0), group)
            time.sleep(0.1)
            for name, (_, process, _) in list(self._running.items()):
                if not process.running:
                    self._finish(name)
                    last_word = time.monotonic()
            if time.monotonic() - last_word > HEARTBEAT_SECONDS:
                last_word = time.monotonic()
                self.say("  ... " + ", ".join(self._progress(name) for name in self._running))
        return self.results

    def _start(self, step: Step, group: Group) -> None:
        env = os.environ | {"PRACTICE_NO_VENV": "1"} | step.env
        log = self.folder / f"{step.name}.log"
        process = group.add(Process(step.name, step.command, log=log, env=env, cwd=self.root))
        self._running[step.name] = (step, process, time.monotonic())

    def _finish(self, name: str) -> None:
        step, process, start = self._running.pop(name)
        status, seconds = process.popen.wait(), time.monotonic() - start
        output = process.log.read_text(errors="replace")
        passed, failed, skipped = count(step, status)
        self.results.append(Result(step, status, seconds, output, passed, failed, skipped))
        word = "ok" if status == 0 else f"FAILED (exit status {status})"
        number = f", {passed} passed, {failed} failed" if step.counts else ""
        self.say(f"  {step.name:<11}{word}{number} in {seconds:.0f} s")
        if status or step.tells:
            self.say(indented(output))
        elif step.counts:
            notes = [line for line in output.splitlines() if _NOTE.match(line)]
            self.say(indented("\n".join(notes)) if notes else "")

    def _progress(self, name: str) -> str:
        step, process, start = self._running[name]
        percents = _PERCENT.findall(process.log.read_text(errors="replace")) if step.counts else []
        done = f" {percents[-1]} %" if percents else ""
        return f"{name}{done} ({time.monotonic() - start:.0f} s)"


def indented(text: str) -> str:
    """Output of a step, set apart from the lines about steps."""
    return "\n".join(f"    | {line}" for line in text.rstrip().splitlines())


def count(step: Step, status: int) -> tuple[int, int, int]:
    """Passed, failed and skipped tests of a step; a check is one test."""
    if step.counts is None:
        return (1, 0, 0) if status == 0 else (0, 1, 0)
    try:
        suite = ET.parse(step.counts).getroot().find("testsuite")  # noqa: S314  pytest wrote it
    except (OSError, ET.ParseError):
        return 0, 1, 0  # pytest did not come to its end.
    if suite is None:
        return 0, 1, 0
    tests, failures, errors, skipped = (
        int(suite.get(name, "0")) for name in ("tests", "failures", "errors", "skipped")
    )
    failed = failures + errors
    if status and not failed:
        failed = 1  # For instance: no test was found.
    return max(tests - failures - errors - skipped, 0), failed, skipped
