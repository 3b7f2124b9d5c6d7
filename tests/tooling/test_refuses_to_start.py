"""With a gap in the declarations no process starts, and each says what is missing."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
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
    assert "no spec says whose record visit_id in an address belongs to" in said


@pytest.mark.once
def test_without_the_gap_it_starts(tmp_path: Path) -> None:
    code, said = started(("manage.py", "check"), "practice.settings", tmp_path, seconds=120)
    assert (code, SENTENCE in said) == (0, False)
