"""The tasks as a table: calls, seconds, and whether it goes smoothly."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tests.monday.tasks import FRICTION, MISSING, TASKS

FILE = "MONDAY_ROWS"
"""The environment names the file into which the tests write their rows."""


@dataclass
class TaskRow:
    """One task as it was played: the calls it took, and their seconds together."""

    number: int
    what: str
    calls: list[str]
    seconds: float
    follows: str = ""


def markdown(rows: Iterable[TaskRow]) -> str:
    """The table, in the order of the tasks, those that are missing among them."""
    lines = ["| task | what | calls | seconds | how it goes |", "|---|---|---|---|---|"]
    found = [(one.number, _row(one)) for one in rows]
    found += [
        (number, f"| {number} | {what} | – | – | missing |") for number, what in MISSING.items()
    ]
    lines += [line for _, line in sorted(found, key=lambda one: one[0])]
    return "\n".join(lines)


def _row(one: TaskRow) -> str:
    how = f"friction: {FRICTION[one.number]}" if one.number in FRICTION else "smooth"
    if one.follows:
        how += f"; with the answer of task {TASKS[one.follows].number} on the screen"
    calls = f"{len(one.calls)}: {', '.join(one.calls)}"
    return f"| {one.number} | {one.what} | {calls} | {one.seconds:.2f} | {how} |"
