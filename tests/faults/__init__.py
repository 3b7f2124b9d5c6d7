"""Planted faults: what each rule, threshold and guard is held by.

A fault names a place (``module:qualname``, or ``fixtures/…json:key`` for a threshold), an old and
a new text within it, the tests that must fail once the old text is replaced, and why. A fault
that no test can see because nothing changes by it is ``struck``, with its reason.

``python -m tests.faults [area ...]`` plants them one after another; ``manage.py test --faults``
brings the servers that some of them need. ``test_faults.py`` checks in a second that every fault
still fits exactly one place.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.faults.fitting import place_of, replaced

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
    struck: str = ""

    @property
    def path(self) -> Path:
        """The file, from the root of the tree."""
        place = self.target.split(":")[0]
        return Path(place) if "/" in place else Path(*place.split(".")).with_suffix(".py")

    @property
    def qualname(self) -> str:
        """The function, class or constant; the key of a file of settings."""
        return self.target.split(":")[1]

    def planted(self, source: str) -> str:
        """The source with the fault in it. Raises ValueError unless it fits exactly once."""
        start, end = place_of(source, self.qualname, json_file=self.path.suffix == ".json")
        inside = source[start:end]
        try:
            return source[:start] + replaced(inside, self.old, self.new) + source[end:]
        except ValueError as misfit:
            raise ValueError(f"{self.target}: {misfit}") from None


def faults(*areas: str) -> Iterator[Fault]:
    """Every fault of the list, or of some areas of it; the struck ones too."""
    for file in sorted(FOLDER.glob("*.json")):
        if not areas or file.stem in areas:
            for row in json.loads(file.read_text()):
                yield Fault(file.stem, **{**row, "tests": tuple(row["tests"])})
