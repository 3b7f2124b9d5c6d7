"""Choice sets in the OpenAPI description bear the names of their enums."""

from __future__ import annotations

from enum import StrEnum

from practice.core.terms import Side, Technique
from practice.http import enum_names as enumnames


class Sides(StrEnum):
    """The words of Side under another name."""

    A = Side.LEFT.value
    B = Side.RIGHT.value


def test_a_set_is_named_once_after_its_enum(monkeypatch):
    monkeypatch.setattr(enumnames, "_kinds", set())
    enumnames.choices_of(Technique)
    enumnames.choices_of(Technique)
    assert list(enumnames.enum_names()) == ["TechniqueEnum"]


def test_two_enums_of_the_same_words_are_one_set(monkeypatch):
    class Sides2(StrEnum):
        A = Sides.A.value
        B = Sides.B.value

    monkeypatch.setattr(enumnames, "_kinds", set())
    for kind in (Sides, Sides2):
        enumnames.choices_of(kind)
    assert len(enumnames.enum_names()) == 1


def test_two_enums_of_one_name_are_told_apart_by_their_app(monkeypatch):
    words = {"PRESS": "press"}
    other = StrEnum("Technique", words, module="sessions.x")  # type: ignore[misc]
    monkeypatch.setattr(enumnames, "_kinds", set())
    for kind in (Technique, other):
        enumnames.choices_of(kind)
    assert set(enumnames.enum_names()) == {"TechniqueEnum", "SessionsTechniqueEnum"}
