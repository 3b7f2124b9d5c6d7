"""Spans of time in whole minutes since 1970-01-01T00:00Z, half-open, and what is left of them.

A list of spans is in order and no two of it touch. Pure.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from typing import Final, TypeAlias

Span: TypeAlias = tuple[int, int]
NEVER: Final = -(2**62)
"""A minute before all others."""


def merged(spans: Iterable[Span]) -> list[Span]:
    """The same time as a list in order, in which no two touch."""
    found: list[Span] = []
    until = NEVER
    for span in sorted(spans):
        begin, end = span
        if begin > until:
            if begin < end:
                found.append(span)
                until = end
        elif end > until:
            found[-1] = (found[-1][0], end)
            until = end
    return found


def common(one: Sequence[Span], other: Sequence[Span]) -> list[Span]:
    """The time that lies in both lists."""
    found: list[Span] = []
    for begin, end in one:
        at = bisect_left(other, (begin,))
        if at and other[at - 1][1] > begin:
            found.append((begin, min(end, other[at - 1][1])))
        # Step by step: a span meets few, and a second search would go through all the rest.
        while at < len(other) and other[at][0] < end:
            found.append((other[at][0], min(end, other[at][1])))
            at += 1
    return found


def without(spans: Sequence[Span], taken: Sequence[Span]) -> list[Span]:
    """What is left of a list when the time of another is taken."""
    found: list[Span] = []
    for begin, end in spans:
        at = bisect_left(taken, (begin,))
        left = max(begin, taken[at - 1][1]) if at else begin
        while at < len(taken) and taken[at][0] < end:
            opens, closes = taken[at]
            if left < opens:
                found.append((left, opens))
            left = closes
            at += 1
        if left < end:
            found.append((left, end))
    return found


def starts_within(spans: Iterable[Span], length: int) -> list[Span]:
    """The minutes at which something of a length may begin so that one span holds all of it."""
    return [(begin, end - length + 1) for begin, end in spans if begin + length <= end]


def free_starts(starts: Iterable[Span], taken: Sequence[Span], length: int) -> list[Span]:
    """Those of some minutes at which something of a length may begin so that it meets none of
    another list. One pass: the same as ``starts_within`` what is left without that list."""
    found: list[Span] = []
    before = length - 1
    for begin, end in starts:
        at = bisect_left(taken, (begin,))
        left = max(begin, taken[at - 1][1]) if at else begin
        while at < len(taken) and (opens := taken[at][0] - before) < end:
            if left < opens:
                found.append((left, opens))
            left = taken[at][1]
            at += 1
        if left < end:
            found.append((left, end))
    return found
