"""With a gap in the declarations no process starts, and each says what is missing."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
APPS = ("practice", "clients", "sessions", "billing")
SENTENCE = "the read table billing.Visit has no projection"
GUNICORN = ("gunicorn", "practice.wsgi", "--bind", "127.0.0.1:0", "--workers", "1")
CELERY = ("celery", "-A", "practice.celery", "worker", "--pool", "solo")


def started(command: tuple[str, ...], settings: str, var: Path, seconds: int) -> tuple[int, str]:
    """Exit code and what was said on stderr; TimeoutExpired where it runs on."""
    kept = ("PATH", "HOME", "LANG", "DATABASE_URL", "REDIS_URL")
    process = subprocess.run(
        [sys.executable, *command],
        cwd=ROOT,
        env={name: os.environ[name] for name in kept if name in os.environ}
        | {
            "DJANGO_SETTINGS_MODULE": settings,
            "PRACTICE_VAR": str(var),
            "PRACTICE_NO_VENV": "1",
        },
        capture_output=True,
        text=True,
        timeout=seconds,
        check=False,
    )
    return process.returncode, process.stderr


@pytest.mark.once
@pytest.mark.parametrize(
    "command",
    [("-m", *GUNICORN), ("-m", *CELERY), ("manage.py", "check")],
    ids=["gunicorn", "celery", "manage.py"],
)
def test_with_a_gap_it_refuses_to_start_and_says_why(
    command: tuple[str, ...], tmp_path: Path
) -> None:
    code, said = started(command, "tests.tooling.gap_settings", tmp_path, seconds=120)
    assert code != 0
    assert SENTENCE in said


@pytest.mark.once
def test_a_server_with_an_address_that_nobody_knows_refuses_to_start(tmp_path: Path) -> None:
    settings = "tests.tooling.address_gap_settings"
    code, said = started(("-m", *GUNICORN), settings, tmp_path, seconds=120)
    assert code != 0
    assert "no spec says whose record payer_id in an address belongs to" in said


LOADED = {
    "worker": "import practice.celery as one; one.app.loader.import_default_modules()",
    "server": "import practice.wsgi",
}


LATER = {"matplotlib", "icalendar"}
"""Loaded by who needs them: long imports that most processes never use."""


def imported_by(process: str, var: Path) -> set[str]:
    """The modules that a process has once it can work."""
    done = subprocess.run(
        [sys.executable, "-c", f"{LOADED[process]}; import sys; print(*sys.modules)"],
        cwd=ROOT,
        env={"PATH": os.environ["PATH"], "PRACTICE_VAR": str(var), "PRACTICE_NO_VENV": "1"}
        | {"DJANGO_SETTINGS_MODULE": "practice.settings"},
        capture_output=True,
        text=True,
        check=True,
    )
    return set(done.stdout.split())


@pytest.mark.once
def test_a_worker_imports_no_views_and_no_process_what_it_seldom_needs(tmp_path: Path) -> None:
    worker, server = imported_by("worker", tmp_path), imported_by("server", tmp_path)
    assert "billing.visits.views" in server
    ours = {one for one in worker if one.split(".")[0] in APPS}
    assert not {one for one in ours if one.endswith(".urls") or "views" in one.split(".")}
    assert not LATER & (server | worker)
    assert "kombu.transport.filesystem" in server, "the first wake would wait for its import"


@pytest.mark.once
def test_without_the_gap_it_starts(tmp_path: Path) -> None:
    code, said = started(("manage.py", "check"), "practice.settings", tmp_path, seconds=120)
    assert (code, SENTENCE in said) == (0, False)
