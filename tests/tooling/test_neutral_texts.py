"""No text that anyone reads calls a client or a colleague she or he: people are "they".

Held to it is every line of the tree: code with its docstrings, comments and names, fixtures,
tests and pages. This file alone names the words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiYamlRenderer

ROOT = Path(__file__).parents[2]
# An underscore parts words too: names are read like the rest.
GENDERED = re.compile(r"(?<![a-z])(she|hers?|herself|he|him|his|himself)(?![a-z])", re.IGNORECASE)

TREE = {
    "practice": 150,
    "clients": 80,
    "sessions": 150,
    "billing": 40,
    "tests": 150,
    "fixtures": 50,
}
"""The folders, and how many files there are to read in each at least."""

READ = {".py", ".json", ".html", ".md", ".toml"}


def files_of(place: str) -> list[Path]:
    """The files that people read, this one excepted."""
    return [
        file
        for file in sorted((ROOT / place).rglob("*"))
        if file.suffix in READ and file != Path(__file__)
    ]


def gendered_lines(text: str) -> Iterator[str]:
    """The lines that call somebody she or he, each with its number."""
    for number, line in enumerate(text.splitlines(), start=1):
        if GENDERED.search(line):
            yield f"{number}: {line.strip()}"


def gendered_in(files: list[Path]) -> list[str]:
    return [
        f"{file.relative_to(ROOT)}:{found}"
        for file in files
        for found in gendered_lines(file.read_text(encoding="utf-8"))
    ]


@pytest.mark.parametrize(("place", "least"), TREE.items())
def test_the_tree_is_neutral(place: str, least: int) -> None:
    files = files_of(place)
    assert len(files) >= least
    assert gendered_in(files) == []


def test_the_pages_are_neutral() -> None:
    assert gendered_in([ROOT / name for name in ("README.md", "DEVELOPERS.md")]) == []


def test_the_api_description_is_neutral() -> None:
    described = SchemaGenerator().get_schema(request=None, public=True)
    text = OpenApiYamlRenderer().render(described).decode()
    assert text.count("description:") > 1000
    assert list(gendered_lines(text)) == []


@pytest.mark.parametrize(
    "text",
    [
        '    """Her own."""',
        'means="she came"',
        "# What he said",
        "def test_a_stop_counts_until_she_answers() -> None:",
        '{"how": "The client raises the arm herself."}',
    ],
)
def test_a_gendered_text_is_found(text: str) -> None:
    assert list(gendered_lines(text)) == [f"1: {text.strip()}"]


@pytest.mark.parametrize("text", ["The others, there.", "refresh(the_cache)", "history of this"])
def test_words_that_hold_such_a_word_are_not_found(text: str) -> None:
    assert list(gendered_lines(text)) == []
