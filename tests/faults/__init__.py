"""Planted faults: what each rule, threshold and guard is held by.

A fault names a place (``module:qualname``), an old and a new text within it, the tests that
must fail once the old text is replaced, and why. ``python -m tests.faults [area ...]`` plants
them one after another in a copy of the tree and runs their tests; ``test_faults.py`` checks in
a second that every fault still matches exactly one place.
"""

from __future__ import annotations

import ast
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FOLDER = Path(__file__).resolve().parent


@dataclass(frozen=True)
class Fault:
    area: str
    target: str
    old: str
    new: str
    tests: tuple[str, ...]
    why: str

    @property
    def path(self) -> Path:
        return Path(*self.target.split(":")[0].split(".")).with_suffix(".py")

    def planted(self, source: str) -> str:
        """The source with the fault in it. Raises ValueError unless it fits exactly once."""
        start, end = span(source, self.target.split(":")[1])
        lines = source.splitlines(keepends=True)
        inside = "".join(lines[start:end])
        if inside.count(self.old) != 1:
            raise ValueError(f"{self.target}: {inside.count(self.old)} places for {self.old!r}")
        return "".join([*lines[:start], inside.replace(self.old, self.new), *lines[end:]])


def span(source: str, qualname: str) -> tuple[int, int]:
    """The lines, from 0, of a function, class or constant."""
    body = ast.parse(source).body
    found: ast.stmt | None = None
    for name in qualname.split("."):
        found = next((one for one in body if name in _names(one)), None)
        if found is None:
            raise ValueError(f"there is no {qualname}")
        body = getattr(found, "body", [])
    assert found is not None
    decorators = [one.lineno for one in getattr(found, "decorator_list", [])]
    return min([found.lineno, *decorators]) - 1, found.end_lineno or found.lineno


def _names(node: ast.stmt) -> list[str]:
    if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
        return [node.name]
    if isinstance(node, ast.Assign):
        return [one.id for one in node.targets if isinstance(one, ast.Name)]
    if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
        return [node.target.id]
    return []


def faults(*areas: str) -> Iterator[Fault]:
    """Every fault of the list, or of some areas of it."""
    for file in sorted(FOLDER.glob("*.json")):
        if not areas or file.stem in areas:
            for row in json.loads(file.read_text()):
                yield Fault(file.stem, **{**row, "tests": tuple(row["tests"])})
