"""The table of query counts: a line for each operation, and who takes more is named."""

from __future__ import annotations

from tests.api.description import operations
from tests.api.query_counts import AT_MOST, over_their_counts


def test_each_operation_has_a_line_and_no_other_name_has() -> None:
    assert set(AT_MOST) == {str(one) for one in operations()}


def test_one_statement_more_than_its_line_is_too_many() -> None:
    most = AT_MOST["session-list-GET"]
    assert over_their_counts({"session-list-GET": most}) == {}
    assert set(over_their_counts({"session-list-GET": most + 1})) == {"session-list-GET"}


def test_an_operation_without_a_line_is_named() -> None:
    assert set(over_their_counts({"a-new-one-GET": 1})) == {"a-new-one-GET"}
