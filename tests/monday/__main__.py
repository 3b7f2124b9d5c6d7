"""``python -m tests.monday``: play the desk's tasks and print the table of them.

Options are those of ``manage.py test``, e.g. ``--engine postgresql``; without one, SQLite.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.monday.table import FILE, TaskRow, markdown

ROOT = Path(__file__).resolve().parents[2]


def main() -> int:
    """The status of the tests."""
    with tempfile.TemporaryDirectory(prefix="practice-monday-") as folder:
        rows = Path(folder) / "rows.jsonl"
        rows.touch()
        command = [sys.executable, "-m", "pytest", "-q", "tests/monday"]
        if sys.argv[1:]:
            command = [sys.executable, "manage.py", "test", *sys.argv[1:], "tests/monday"]
        done = subprocess.run(command, cwd=ROOT, env=os.environ | {FILE: str(rows)}, check=False)
        found = [TaskRow(**json.loads(line)) for line in rows.read_text().splitlines()]
    print(markdown(found))
    return done.returncode


if __name__ == "__main__":
    raise SystemExit(main())
