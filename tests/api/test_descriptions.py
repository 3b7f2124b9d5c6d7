"""What the OpenAPI description says of each operation: a sentence or two that are worth reading."""

from __future__ import annotations

import re
from typing import Any, Final

import pytest

from practice.core.terms import Role
from practice.http.tags import TAGS
from tests.api.description import Operation, document, operations
from tests.api.matrix import ALL, MATRIX

LEAST_NEW_WORDS: Final = 6
_LITTLE: Final = frozenset(
    re.findall(
        "[a-z]+",
        "and any are but for from has have its not one only our own that the their them then there"
        " they this what when where which who with",
    )
)
HOW: Final = """The description of {one} says less than its path and summary do.
Say in its Command's or endpoint's `description=` what it changes or answers, what is kept, what
is warned of and what refused: at least {least} words that stand neither in path nor summary.
Who may use it is added from the roles that the view declares. Now it says: {said!r}"""


def words(text: str) -> set[str]:
    """The words of a text that say something, without their endings."""
    found = re.findall(r"[a-z]{3,}", text.lower().replace("-", " "))
    return {re.sub(r"(ings?|ed|es|s|e)$", "", one) for one in found if one not in _LITTLE}


def said_of(one: Operation) -> tuple[str, str]:
    """The description and the last line, which says who may use it."""
    text, _, who = str(one.said.get("description", "")).rpartition("\n\n")
    return text, who


@pytest.mark.parametrize("one", operations(), ids=str)
def test_a_description_says_more_than_path_and_summary(one: Operation) -> None:
    summary, (text, _who) = str(one.said.get("summary", "")), said_of(one)
    assert summary[:1].isupper()
    assert not summary.endswith("."), summary
    assert text.endswith("."), text
    new = words(text) - words(summary) - words(one.path)
    assert len(new) >= LEAST_NEW_WORDS, HOW.format(one=one, least=LEAST_NEW_WORDS, said=text)


@pytest.mark.parametrize("one", operations(), ids=str)
def test_a_description_names_exactly_who_may(one: Operation) -> None:
    allowed = MATRIX[one.name][one.method]
    if "nobody" in allowed:
        expected = "For everyone, without signing in."
    elif allowed == ALL:
        expected = "For all staff."
    else:
        named = [r.value for r in Role if r.value in allowed]
        who = said_of(one)[1]
        assert {r.value for r in Role if r.value.replace("_", " ") in who} == set(named)
        return
    assert said_of(one)[1] == expected


def test_no_two_operations_of_a_group_have_one_summary() -> None:
    """But PUT and PATCH of the same thing."""
    seen: dict[Any, set[str]] = {}
    for one in operations():
        seen.setdefault((one.said["summary"], tuple(one.said["tags"])), set()).add(one.path)
    assert {key: paths for key, paths in seen.items() if len(paths) > 1} == {}


def test_groups_have_a_text_each_and_stand_in_the_order_of_the_day() -> None:
    used = {tag for one in operations() for tag in one.said["tags"]}
    assert used == {tag["name"] for tag in TAGS}
    assert document()["tags"] == TAGS
    assert all(len(tag["description"].split()) >= 5 for tag in TAGS)
    order = [tag["name"] for tag in TAGS]
    day = ["access", "clients", "consent", "sessions", "notes", "re-checks", "visits", "owner"]
    assert [name for name in order if name in day] == day


def test_what_holds_for_all_operations_is_said_once_in_front() -> None:
    text = document()["info"]["description"]
    for word in ("Bearer", "Idempotency-Key", "If-Match", "If-None-Match", "problem+json", "gzip"):
        assert word in text
