"""``python -m tests.harness [--full]``: provoke every fault again and show what came of each.

It runs the harnesses on PostgreSQL with a Redis, both of its own, and prints the table.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.harness.table import FILE, FaultRow, markdown

ROOT = Path(__file__).resolve().parents[2]
TESTS = (
    "tests/harness/test_kills.py",
    "tests/harness/test_worker.py",
    "tests/harness/test_slow_mail.py",
    "tests/harness/test_reminders.py",
    "tests/harness/test_broker.py",
    "tests/harness/test_database_away.py",
    "tests/harness/test_comparison.py",
    "tests/eventstore/test_failing_jobs.py",
)


def main() -> int:
    """The status of the tests."""
    with tempfile.TemporaryDirectory(prefix="practice-harness-") as folder:
        rows = Path(folder) / "rows.jsonl"
        rows.touch()
        command = [sys.executable, "manage.py", "test", "--engine", "postgresql"]
        done = subprocess.run(
            [*command, *sys.argv[1:], *TESTS],
            cwd=ROOT,
            env=os.environ | {FILE: str(rows)},
            check=False,
        )
        found = [FaultRow(**json.loads(line)) for line in rows.read_text().splitlines()]
    print(markdown(found))
    return done.returncode


if __name__ == "__main__":
    raise SystemExit(main())
