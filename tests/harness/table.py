"""One row for each fault that a harness provoked; ``python -m tests.harness`` shows them all."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

FILE = "PRACTICE_FAULT_TABLE"
"""The environment variable that names the file of rows, a JSON object on each line."""


@dataclass(frozen=True)
class FaultRow:
    """What came of one fault; None: not measured there. ``errors``: answers of 500 and above but
    503, which is right."""

    fault: str
    how: str
    rounds: int
    acknowledged: int
    lost: int | None
    doubled: int | None
    errors: int | None


def keep(row: FaultRow) -> None:
    """Print a row, and keep it where the command asks for it."""
    print(row)
    if name := os.environ.get(FILE):
        with Path(name).open("a") as file:
            file.write(json.dumps(asdict(row)) + "\n")


def markdown(rows: Sequence[FaultRow]) -> str:
    """The table as Markdown; a dash for what was not measured."""
    lines = [
        "| fault | how provoked | rounds | acknowledged | lost | doubled | 5xx but 503 |",
        "|---|---|---|---|---|---|---|",
    ]
    lines += [
        f"| {one.fault} | {one.how} | {one.rounds} | {one.acknowledged} | {_told(one.lost)}"
        f" | {_told(one.doubled)} | {_told(one.errors)} |"
        for one in rows
    ]
    return "\n".join(lines)


def _told(count: int | None) -> str:
    return "–" if count is None else str(count)
