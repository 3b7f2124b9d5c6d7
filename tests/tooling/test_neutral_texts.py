"""What the rules and the record say to a person calls nobody she or he."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.api.test_addresses_in_texts import texts_of

ROOT = Path(__file__).parents[2]
GENDERED = re.compile(r"\b(she|her|hers|herself|he|him|his|himself)\b", re.IGNORECASE)

MODULES = sorted(
    file.relative_to(ROOT)
    for app in ("practice", "clients", "sessions", "billing")
    for file in (ROOT / app).rglob("*.py")
    if "domain" in file.parts or "services" in file.parts or file.name == "services.py"
)
FIXTURES = [
    file.relative_to(ROOT)
    for file in sorted((ROOT / "fixtures").rglob("*.json"))
    if file.parent.name != "events"
]


def strings_in(value: Any) -> Iterator[str]:
    """Every string of a JSON document."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, list | dict):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from strings_in(inner)


def test_there_is_something_to_read() -> None:
    assert len(MODULES) > 100
    assert len(FIXTURES) > 5


@pytest.mark.parametrize("module", MODULES, ids=str)
def test_the_texts_of_rules_and_services_are_neutral(module: Path) -> None:
    texts = texts_of((ROOT / module).read_text(encoding="utf-8"), docstrings=False)
    assert [text for text in texts if GENDERED.search(text)] == []


@pytest.mark.parametrize("file", FIXTURES, ids=str)
def test_the_texts_of_fixtures_are_neutral(file: Path) -> None:
    given = json.loads((ROOT / file).read_text(encoding="utf-8"))
    assert [text for text in strings_in(given) if GENDERED.search(text)] == []


def test_a_gendered_text_is_found() -> None:
    told = 'def told(name):\n    """Her own."""\n    return f"{name}: she came"\n'
    assert [text for text in texts_of(told, docstrings=False) if GENDERED.search(text)] == [
        "{}: she came"
    ]
