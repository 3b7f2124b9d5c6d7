"""Which tests hold which ruling: found by "ruling NN" in their name, docstring or comments.

A docstring of a module speaks for all of its tests. Run this file as a module
(``python -m tests.tooling.test_rulings``) to print the table.
"""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
WANTED = range(45, 64)
_NAMED = re.compile(r"rulings?[ _]((?:\d{1,2}(?:, and |, | and |_and_)?)+)", re.IGNORECASE)
_NUMBER = re.compile(r"\d+")


def rulings_in(text: str) -> frozenset[int]:
    """The rulings that a text names: "ruling 45", "rulings 46, 47 and 56"."""
    return frozenset(int(n) for found in _NAMED.findall(text) for n in _NUMBER.findall(found))


def _tests_in(file: Path) -> Iterator[tuple[str, frozenset[int]]]:
    """Every test of a file by its id, with the rulings that it names."""
    source = file.read_text(encoding="utf-8")
    module = ast.parse(source)
    everywhere = rulings_in(ast.get_docstring(module) or "")
    where = file.relative_to(TESTS.parent).as_posix()
    for node in ast.walk(module):
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            own = rulings_in(ast.get_source_segment(source, node) or "")
            yield f"{where}::{node.name}", everywhere | own


def ruling_table() -> dict[int, list[str]]:
    """The ids of the tests of each ruling."""
    found: defaultdict[int, list[str]] = defaultdict(list)
    for file in sorted(TESTS.rglob("test_*.py")):
        if file != Path(__file__).resolve():
            for name, rulings in _tests_in(file):
                for number in rulings:
                    found[number].append(name)
    return dict(found)


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("Ruling 45.", {45}),
        ("rulings 46, 56", {46, 56}),
        ("Rulings 47, 48 and 55: it counts 12 weeks", {47, 48, 55}),
        ("test_ruling_54_prompts", {54}),
        ("no rule 45, 2 of 3", set()),
    ],
)
def test_a_text_names_rulings(text: str, numbers: set[int]) -> None:
    assert rulings_in(text) == numbers


def test_every_ruling_has_a_test() -> None:
    found = ruling_table()
    assert [number for number in WANTED if not found.get(number)] == []


def table() -> str:
    """Each ruling with its tests, those without one named as such."""
    found = ruling_table()
    lines = []
    for number in WANTED:
        names = found.get(number, [])
        lines += [f"ruling {number}: {len(names)} tests" if names else f"ruling {number}: none"]
        lines += [f"    {name}" for name in names]
    return "\n".join(lines)


if __name__ == "__main__":
    import sys

    sys.stdout.write(table() + "\n")
