"""The slow lane: a fault is written into a copy of the tree and its tests run in a new process.

For what a running process cannot change (constants, class bodies, SQL, triggers, thresholds in
JSON), for tests that ask PostgreSQL or real processes, and for what the fast lane did not see.
"""

from __future__ import annotations

import itertools
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue

from tests.faults import ROOT, Fault

SIDE_BY_SIDE = 2
SECONDS = 300
SEEN, UNSEEN, NOT_RUN = "seen", "UNSEEN", "NOT RUN"
POSTGRESQL = "PRACTICE_FAULTS_POSTGRESQL"
"""Names the PostgreSQL for tests that ask one; ``manage.py test`` sets it."""

LEFT_BEHIND = shutil.ignore_patterns(
    ".git", ".venv", "var", "__pycache__", ".*_cache", ".hypothesis"
)
_FAILED, _NOTHING_COLLECTED = 1, 5
_ticks = itertools.count(1)


def run(faults: Sequence[Fault], copies: int = SIDE_BY_SIDE) -> Iterator[tuple[Fault, str]]:
    """Each fault with its result, as they come."""
    if not faults:
        return
    with tempfile.TemporaryDirectory(prefix="practice-faults-") as folder:
        trees: SimpleQueue[Path] = SimpleQueue()
        for number in range(copies):
            tree = Path(folder) / f"tree{number}"
            shutil.copytree(ROOT, tree, ignore=LEFT_BEHIND)
            trees.put(tree)

        check_without_fault(faults[0], Path(folder) / "tree0")

        def one(fault: Fault) -> str:
            tree = trees.get()
            try:
                return _planted_and_run(fault, tree)
            finally:
                trees.put(tree)

        with ThreadPoolExecutor(copies) as pool:
            yield from zip(faults, pool.map(one, faults), strict=True)


def check_without_fault(fault: Fault, tree: Path) -> None:
    """Raises RuntimeError if the copy fails by itself: each fault would count as seen."""
    if _tests(fault, tree, {}) not in (0, _NOTHING_COLLECTED):
        raise RuntimeError(f"{fault.tests} fail in {tree} without a fault")


def _planted_and_run(fault: Fault, tree: Path) -> str:
    file = tree / fault.path
    whole = file.read_text()
    _write(file, fault.planted(whole))
    try:
        status = _tests(fault, tree, {})
        # What only PostgreSQL is sent no test on SQLite can see.
        if status in (0, _NOTHING_COLLECTED) and POSTGRESQL in os.environ:
            status = _tests(fault, tree, {"DATABASE_URL": os.environ[POSTGRESQL]})
    finally:
        _write(file, whole)
    if status == _NOTHING_COLLECTED or (status == 0 and _asks_postgresql(fault)):
        return NOT_RUN
    # A process that cannot start with the fault (2, 3, 4) has seen it too.
    return UNSEEN if status == 0 else SEEN


def _asks_postgresql(fault: Fault) -> bool:
    """Whether the place is of PostgreSQL's own and none was there."""
    return POSTGRESQL not in os.environ and Path(fault.path).stem == "postgresql"


def _write(file: Path, text: str) -> None:
    """With a time of its own: bytecode of the same size and second would be taken for this one."""
    file.write_text(text)
    stamp = file.stat().st_mtime + next(_ticks)
    os.utime(file, (stamp, stamp))


def _tests(fault: Fault, tree: Path, env: dict[str, str]) -> int:
    own = {
        "PRACTICE_NO_VENV": "1",
        "PYTEST_DB_SUFFIX": tree.name,
        "PRACTICE_VAR": str(tree / "var"),
    }
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *fault.tests]
    try:
        done = subprocess.run(
            command,
            cwd=tree,
            env=os.environ | own | env,
            capture_output=True,
            check=False,
            timeout=SECONDS,
        )
    except subprocess.TimeoutExpired:
        return _FAILED
    return done.returncode
