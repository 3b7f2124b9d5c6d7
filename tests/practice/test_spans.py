"""Spans of minutes against the plain sets of minutes that they stand for."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from practice.core.spans import Span, common, free_starts, merged, starts_within, without

spans = st.lists(
    st.tuples(st.integers(0, 40), st.integers(0, 12)).map(lambda one: (one[0], sum(one))),
    max_size=8,
)


def minutes(of: list[Span]) -> set[int]:
    return {minute for begin, end in of for minute in range(begin, end)}


@given(spans)
def test_merged_is_the_same_time_in_order_without_touching(given_spans: list[Span]) -> None:
    found = merged(given_spans)
    assert minutes(found) == minutes(given_spans)
    assert all(one[1] < two[0] for one, two in pairwise(found))
    assert all(begin < end for begin, end in found)


@given(spans, spans)
def test_what_two_lists_share_and_what_one_leaves_of_the_other(
    one: list[Span], other: list[Span]
) -> None:
    one, other = merged(one), merged(other)
    assert minutes(common(one, other)) == minutes(one) & minutes(other)
    assert minutes(without(one, other)) == minutes(one) - minutes(other)


@given(spans, st.integers(1, 15))
def test_a_start_leaves_room_for_the_whole_length_in_one_span(
    given_spans: list[Span], length: int
) -> None:
    listed = merged(given_spans)
    whole = {start for begin, end in listed for start in range(begin, end) if start + length <= end}
    assert minutes(starts_within(listed, length)) == whole


@given(spans, spans, st.integers(1, 15))
def test_a_free_start_meets_nothing_that_is_taken_for_its_whole_length(
    some: list[Span], taken: list[Span], length: int
) -> None:
    starts, taken = merged(some), merged(taken)
    found, held = free_starts(starts, taken, length), minutes(taken)
    free = {one for one in minutes(starts) if held.isdisjoint(range(one, one + length))}
    assert minutes(found) == free
    assert all(one[1] <= two[0] for one, two in pairwise(found))
    assert all(begin < end for begin, end in found)
    within = starts_within(without(starts, taken), length)
    assert minutes(free_starts(starts_within(starts, length), taken, length)) == minutes(within)
