"""The rule against a slow search written from the manual's sentences, every split."""

from __future__ import annotations

import os
from collections.abc import Iterator
from itertools import combinations, product

from billing.payers.domain.rules import UnitRule
from billing.units.domain.units import LostMinutes, cms_total_time, units_of_uncertain
from tests.billing.by_hand import billable_divisions

NAMES = "ABCD"


def splits(total: int, codes: int, least: int = 0) -> Iterator[tuple[int, ...]]:
    """Every unordered way to split whole minutes among so many codes, none included."""
    if codes == 1:
        yield (total,)
        return
    for first in range(least, total // codes + 1):
        for rest in splits(total - first, codes - 1, first):
            yield (first, *rest)


def all_splits(up_to: int, codes: int) -> Iterator[tuple[int, ...]]:
    for total in range(up_to + 1):
        yield from splits(total, codes)


def by_rule(minutes: tuple[int, ...]) -> set[tuple[int, ...]]:
    """Every division that the rule's answer leaves possible."""
    names = NAMES[: len(minutes)]
    expected_units = cms_total_time(dict(zip(names, minutes, strict=True)))
    return {
        tuple(expected_units.sure.get(name, 0) + (name in chosen) for name in names)
        for chosen in combinations(expected_units.candidates, expected_units.undecided_units)
    }


def disagreements(up_to: int, codes: int) -> tuple[int, list[tuple[int, ...]]]:
    seen, wrong = 0, []
    for minutes in all_splits(up_to, codes):
        seen += 1
        if by_rule(minutes) != set(billable_divisions(minutes)):
            wrong.append(minutes)
    return seen, wrong


FULL = os.environ.get("PRACTICE_FULL_HARNESS") == "1"
HARNESS = (120, 4, 430_256) if FULL else (60, 3, 7_106)


def test_every_unordered_split_agrees_with_the_search() -> None:
    """Three codes up to 60 minutes always; four up to 120 with PRACTICE_FULL_HARNESS=1."""
    up_to, codes, expected = HARNESS
    seen, wrong = disagreements(up_to, codes)
    assert wrong == []
    assert seen == expected


def test_the_search_itself_refuses_a_wrong_division() -> None:
    """A check that cannot fail proves nothing: three units on 20 + 20 minutes, wrongly given."""
    assert billable_divisions((20, 20)) == [(1, 2), (2, 1)]
    assert (3, 0) not in billable_divisions((20, 20))
    assert (1, 1) not in billable_divisions((33, 7))


def short_services_sentence(minutes: tuple[int, ...]) -> set[int] | None:
    """The sentence on services of 7 minutes or less, read alone.

    Where two or more of them come to 8 minutes or more, one unit for the longest of
    them: the indexes that may have it, or None where the sentence does not apply.
    """
    short = [index for index, one in enumerate(minutes) if 0 < one <= 7]
    if len(short) < 2 or sum(minutes[index] for index in short) < 8:
        return None
    longest = max(minutes[index] for index in short)
    return {index for index in short if minutes[index] == longest}


def test_the_sentence_on_short_services_holds_when_they_are_the_whole_day() -> None:
    for minutes in all_splits(21, 3):
        allowed = short_services_sentence(minutes)
        if allowed is None or max(minutes) > 7 or sum(minutes) > 22:
            continue
        assert {division.index(1) for division in by_rule(minutes)} == allowed


def test_short_services_beside_a_longer_one_compare_their_minutes_with_its_remainder() -> None:
    """Read alone the sentence would give 22 + 6 + 5 a unit of the second code; example 3
    compares remainders (7 against 6), and the largest remainder is practice policy."""
    assert short_services_sentence((22, 6, 5)) == {1}
    assert by_rule((22, 6, 5)) == {(2, 0, 0)}


def losses(total: int, most: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Every way in which codes may lose so many minutes in all, slowly."""
    return [one for one in product(*(range(each + 1) for each in most)) if sum(one) == total]


def test_units_of_uncertain_minutes_are_those_of_every_way_to_lose_them() -> None:
    """Ruling 57: a unit is a code's if it has it whichever code loses the minutes; the rest is
    sure in total only, and a code is offered no more than it could have."""
    seen = 0
    for minutes in all_splits(40, 3):
        if sum(minutes) % 5:
            continue
        timed = dict(zip("ABC", minutes, strict=True))
        for lost, cap in ((1, 40), (7, 7), (8, 40), (16, 15)):
            most = tuple(min(one, cap) for one in minutes)
            if sum(most) < lost:
                continue
            seen += 1
            found = units_of_uncertain(
                UnitRule.CMS_TOTAL_TIME,
                timed,
                ["E"],
                LostMinutes(lost, dict(zip("ABC", most, strict=True))),
            )
            ways = [
                cms_total_time({c: timed[c] - gone[i] for i, c in enumerate("ABC")})
                for gone in losses(lost, most)
            ]
            least = {c: min(way.sure.get(c, 0) for way in ways) for c in "ABC"}
            highest = {
                c: max(way.sure.get(c, 0) + way.max_by_code.get(c, 0) for way in ways)
                for c in "ABC"
            }
            assert found.sure == {**{c: n for c, n in least.items() if n}, "E": 1}
            assert {way.units for way in ways} == {found.units - 1}
            for code in "ABC":
                offered = found.max_by_code.get(code, 0)
                assert offered == min(highest[code] - least[code], found.undecided_units)
    assert seen > 500


def test_minutes_of_one_code_lose_no_certainty_about_the_code() -> None:
    lost = LostMinutes(15, {"A": 60})
    found = units_of_uncertain(UnitRule.CMS_TOTAL_TIME, {"A": 60}, (), lost)
    assert (found.sure, found.undecided_units, found.timed_minutes) == ({"A": 3}, 0, 45)
