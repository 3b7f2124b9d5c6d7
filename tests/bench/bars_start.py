"""Bar 8: from the start of a process until it works, and what it imports meanwhile."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from django.conf import settings

from practice.management.demo_processes import CELERY, SERVER_LIMITS, is_alive
from practice.management.processes import Group, Process, free_port
from tests.bench.measuring import Runs
from tests.bench.plan import Plan
from tests.bench.report import Bar

LONGEST = 15
"""Lines of an import profile that are kept."""
IMPORTS = {
    "web": "import practice.wsgi",
    "worker": "import practice.celery as one; one.app.loader.import_default_modules()",
}


def start_up(plan: Plan) -> list[Bar]:
    """Web process and worker beside a bare project, in turn."""
    acts: dict[str, Callable[[], float]] = {
        "ours": lambda: _served("practice.wsgi", plan.folder),
        "bare project": lambda: _served("tests.bench.bare_wsgi", plan.folder),
        "worker": lambda: _worker(plan.folder),
    }
    runs = {name: Runs() for name in acts}
    for number in range(plan.rounds + 1):
        for name, act in acts.items():
            seconds = act()
            if number:
                runs[name].rounds.append([seconds])
    web, worker = (
        Bar(f"8 start of a {name} to ready (at most)", "", runs[key].quantile(0.5), "s", 2.0)
        for name, key in (("web process", "ours"), ("worker", "worker"))
    )
    for bar, name in ((web, "web"), (worker, "worker")):
        bar.raw = {"imports": import_profile(IMPORTS[name], plan.folder)}
    return [web, worker, Bar.of("8 start of a web process", "bare project", runs)]


def _served(application: str, folder: Path) -> float:
    port = free_port()
    command = [sys.executable, "-m", "gunicorn", application, f"--bind=127.0.0.1:{port}"]
    address = f"http://127.0.0.1:{port}"
    return _seconds([*command, *SERVER_LIMITS], folder, lambda _: is_alive(address))


def _worker(folder: Path) -> float:
    options = ["worker", "-c1", "--without-gossip", "--without-mingle", "--loglevel=INFO"]
    ready = " ready."
    return _seconds([*CELERY, *options], folder, lambda one: ready in one.last_lines(50))


def _seconds(command: Sequence[str], folder: Path, ready: Callable[[Process], bool]) -> float:
    log = folder / "start.log"
    log.write_text("")
    with Group() as group:
        start = time.perf_counter()
        process = group.add(
            Process("start", command, log=log, cwd=settings.BASE_DIR, env=_compiled(folder))
        )
        process.wait_until(lambda: ready(process), 60)
        return time.perf_counter() - start


def _compiled(folder: Path) -> dict[str, str]:
    """The environment of a process that finds its modules compiled, as an installed program does;
    the round that does not count compiles them."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"PYTHONPYCACHEPREFIX": str(folder / "compiled")}


def import_profile(statement: str, folder: Path) -> dict[str, Any]:
    """The modules that take longest to import, alone and with what they import, in milliseconds."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", statement],
        cwd=settings.BASE_DIR,
        env=_compiled(folder) | {"DJANGO_SETTINGS_MODULE": "practice.settings"},
        capture_output=True,
        text=True,
        check=True,
    )
    lines = [one.removeprefix("import time:").split("|") for one in done.stderr.splitlines()]
    found = [
        (int(alone), int(whole), name.strip())
        for alone, whole, name in (one for one in lines if len(one) == 3)
        if alone.strip().isdigit()
    ]
    return {
        "modules": len(found),
        "all_ms": sum(alone for alone, _, _ in found) / 1e3,
        "alone": _longest(found, 0),
        "with_imports": _longest(found, 1),
    }


def _longest(found: list[tuple[int, int, str]], by: int) -> dict[str, float]:
    most = sorted(found, key=lambda one: one[by], reverse=True)[:LONGEST]
    return {one[2]: one[by] / 1e3 for one in most}
