"""Whether two written names are one person's."""

from __future__ import annotations

import pytest

from practice.core.names import same_name


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Amara Okafor", "amara  OKAFOR"),
        ("Íñez Álvarez", "Inez Alvarez"),
        ("Okafor, Amara", "Amara Okafor"),
        ("Anne-Marie Sel", "Anne Marie Sel"),
        ("Lea DeLuca", "Lea De Luca"),
        ("Rory O\u2019Shea", "Rory O'Shea"),
        ("Rory OShea", "Rory O'Shea"),
    ],
)
def test_case_accents_spaces_and_order_make_no_other_person(one: str, other: str) -> None:
    assert same_name(one, other)
    assert same_name(other, one)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Amara Okafor", "Amaro Okafor"),
        ("Amara Okafor", "Okafor"),
        ("Amara Okafor", "Amara Okafor Lind"),
        ("Amara Okafor", ""),
        ("", ""),
        ("-", "\u2019"),
    ],
)
def test_another_letter_or_word_is_another_name_and_none_is_nobodys(one: str, other: str) -> None:
    assert not same_name(one, other)
    assert not same_name(other, one)
