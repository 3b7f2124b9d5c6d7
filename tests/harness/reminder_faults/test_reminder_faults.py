"""The fault table of reminders in short: nothing lost, nothing doubled but what may be."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.harness.reminder_faults.rows import ReminderFault, faults_of, markdown

ROW = ReminderFault("a fault", "by hand", 10, 10, 0, 0, 0, 0, 0, 1.0)


@pytest.mark.postgresql
@pytest.mark.redis
@pytest.mark.harness
def test_whatever_falls_over_each_reminder_goes_once(tmp_path: Path) -> None:
    file = tmp_path / "rows.jsonl"
    done = subprocess.run(
        [sys.executable, "-m", "tests.harness.reminder_faults", "--quick", "--rows", str(file)],
        cwd=Path(__file__).parents[3],
        env={name: value for name, value in os.environ.items() if not name.startswith("PYTEST")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    rows = [json.loads(one) for one in file.read_text().splitlines()]
    assert len(rows) == 2
    assert sum(one["doubled"] for one in rows) == 0


@pytest.mark.parametrize(
    ("changes", "may_double", "words"),
    [
        ({}, False, []),
        ({"handled": 9, "lost": 1}, True, ["1 lost"]),
        ({"wrongly": 2}, True, ["2 sent that were of no use any more"]),
        ({"doubled": 1, "same_id": 1, "counted": 1}, True, []),
        ({"doubled": 1, "same_id": 1, "counted": 1}, False, ["1 doubled"]),
        ({"doubled": 2, "same_id": 1, "counted": 2}, True, ["1 copies under another Message-ID"]),
        ({"doubled": 2, "same_id": 2, "counted": 1}, True, ["1 doubled and not counted"]),
        ({"counted": 3}, False, []),
    ],
)
def test_what_a_row_must_not_say(
    changes: dict[str, int], may_double: bool, words: list[str]
) -> None:
    row = ReminderFault(**{**ROW.__dict__, **changes})
    assert faults_of(row, may_double=may_double) == [f"a fault: {one}" for one in words]


def test_the_table_has_a_line_for_each_fault() -> None:
    head, _, line = markdown([ROW]).splitlines()
    assert head.count("|") == line.count("|")
    assert line.startswith("| a fault | by hand | 10 | 10 | 0 |")
