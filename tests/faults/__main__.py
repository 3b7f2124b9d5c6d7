"""Plants the faults in a copy of the tree, one at a time, and says which no test saw."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.faults import ROOT, Fault, faults

LEFT_BEHIND = shutil.ignore_patterns(
    ".git", ".venv", "var", "__pycache__", ".*_cache", ".hypothesis"
)


def seen(fault: Fault, copy: Path) -> bool:
    """Whether a test of the fault fails with it."""
    file = copy / fault.path
    whole = file.read_text()
    file.write_text(fault.planted(whole))
    try:
        run = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-x", *fault.tests],
            cwd=copy,
            env=os.environ | {"PRACTICE_NO_VENV": "1"},
            capture_output=True,
            check=False,
        )
    finally:
        file.write_text(whole)
    return run.returncode == 1


def main() -> None:
    """Status 0 only if every fault was seen."""
    unseen = 0
    with tempfile.TemporaryDirectory(prefix="practice-faults-") as folder:
        copy = Path(folder) / "tree"
        shutil.copytree(ROOT, copy, ignore=LEFT_BEHIND)
        for fault in faults(*sys.argv[1:]):
            found = seen(fault, copy)
            unseen += not found
            print(f"{'seen  ' if found else 'UNSEEN'} {fault.target}: {fault.why}", flush=True)
    print(f"{unseen} unseen")
    raise SystemExit(1 if unseen else 0)


if __name__ == "__main__":
    main()
