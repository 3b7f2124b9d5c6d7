"""Every bar of the benchmark runs, at a size that says nothing."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings

from tests.live import database_of_its_own

pytestmark = [pytest.mark.postgresql, pytest.mark.redis, pytest.mark.harness]
QUICK = ("1", "2", "4", "6", "7")
SLOW = ("3", "5", "8", "requests", "memory", "workers", "growth")
"""With servers or workers that are started again and again."""


def ran(bars: tuple[str, ...], folder: Path) -> dict[str, list[str]]:
    """The lines of each bar that a run writes down."""
    figures = folder / "figures.json"
    with database_of_its_own(folder) as url:
        command = [sys.executable, "-m", "tests.bench", "--tiny", "--rounds=1"]
        done = subprocess.run(
            [*command, f"--out={figures}", "--bars", *bars],
            cwd=settings.BASE_DIR,
            env=os.environ
            | {"DATABASE_URL": url, "KEYS_DATABASE_URL": "", "PRACTICE_VAR": str(folder / "var")},
            capture_output=True,
            text=True,
            check=False,
        )
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-4000:]
    lines = json.loads(figures.read_text())["bars"]
    assert all(one["value"] > 0 for one in lines)
    return {bar: [one["what"] for one in lines if one["what"].startswith(bar)] for bar in bars}


def test_the_quick_bars_run(tmp_path: Path) -> None:
    assert all(ran(QUICK, tmp_path).values())


@pytest.mark.full
def test_the_slow_bars_run(tmp_path: Path) -> None:
    found = ran(SLOW, tmp_path)
    assert all(lines for bar, lines in found.items() if bar != "requests")
    assert (tmp_path / "figures" / "growth.svg").stat().st_size > 10_000


def test_the_bars_of_both_tests_are_all_there_are() -> None:
    from tests.bench.all_bars import BARS

    assert {*QUICK, *SLOW} == set(BARS)
