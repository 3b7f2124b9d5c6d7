"""The tasks as a table: calls, seconds, and whether it goes smoothly."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tests.monday.lists import FRICTION, MISSING

FILE = "MONDAY_ROWS"
"""The environment names the file into which the tests write their rows."""


@dataclass
class TaskRow:
    """One task as it was played: the calls it took, their seconds together, and which task's answer
    was on the screen when it began."""

    number: int
    what: str
    calls: list[str]
    seconds: float
    follows: int | None = None


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
    if one.follows is not None:
        how += f"; with the answer of task {one.follows} on the screen"
    calls = f"{len(one.calls)}: {', '.join(one.calls)}"
    return f"| {one.number} | {one.what} | {calls} | {one.seconds:.2f} | {how} |"
