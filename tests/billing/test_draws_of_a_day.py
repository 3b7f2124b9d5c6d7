"""What a signature draws of its day, and what the day draws when a note of it changes."""

from __future__ import annotations

from datetime import timedelta
from itertools import permutations

from billing.authorizations.domain.terms import CoverageStatus, UncoveredReason
from billing.payers.domain.rules import VisitDefinition
from tests.billing.streams import (
    CARDIO,
    DAY,
    OT,
    PT,
    STRENGTH,
    STRETCHING,
    TALK,
    Stream,
    payer_rules,
)


def test_a_signature_draws_one_visit_and_the_units_of_its_minutes() -> None:
    stream = Stream()
    stream.authorize()
    used_units = stream.sign({STRETCHING: 33, CARDIO: 7, TALK: 5})
    assert used_units.used_units == {"S": 2, "C": 1}
    assert (used_units.covered, used_units.uncovered_reasons) == (CoverageStatus.COVERED, ())
    assert stream.used() == (1, 3, 0, 40)


def test_a_part_without_a_service_code_is_named_but_does_not_make_a_visit_partly_covered() -> None:
    stream = Stream()
    stream.authorize()
    used_units = stream.sign({STRETCHING: 30, TALK: 10})
    assert [
        (one.part, one.minutes, one.uncovered_reason) for one in used_units.excluded_minutes
    ] == [(TALK, 10, UncoveredReason.NO_SERVICE_CODE)]
    assert used_units.covered is CoverageStatus.COVERED


def test_an_untimed_code_counts_once_a_day_beside_the_timed_units() -> None:
    codes = {(STRETCHING, PT): "S", (TALK, PT): "E"}
    stream = Stream(payer_rules(codes=codes, untimed=frozenset({"E"})))
    stream.authorize()
    stream.sign({STRETCHING: 15, TALK: 20}, note="one")
    used_units = stream.sign({STRETCHING: 15, TALK: 20}, note="two")
    assert used_units.used_units == {"S": 2, "E": 1}


def test_under_eight_timed_minutes_in_all_draw_no_visit() -> None:
    stream = Stream()
    stream.authorize()
    used_units = stream.sign({STRETCHING: 4, CARDIO: 3})
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.UNDER_EIGHT_MINUTES,),
    )
    assert stream.used() == (0, 0, 0, 0)


def test_two_sessions_of_a_day_are_one_visit_and_their_minutes_are_reckoned_together() -> None:
    stream = Stream()
    stream.authorize()
    first = stream.sign({STRETCHING: 10}, note="morning")
    second = stream.sign({STRETCHING: 10}, note="evening")
    assert (first.used_units, second.used_units) == ({"S": 1}, {"S": 1})
    assert first.visit_id == second.visit_id
    assert stream.used() == (1, 1, 0, 20)


def test_two_disciplines_of_a_day_are_reckoned_apart_but_are_one_visit() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 10}, note="physical")
    stream.sign({STRETCHING: 10}, note="occupational", credential=OT)
    assert stream.used() == (1, 2, 0, 20)


def test_where_each_session_is_a_visit_the_second_of_a_day_draws_another() -> None:
    stream = Stream(payer_rules(visit_definition=VisitDefinition.SESSION))
    stream.authorize(visits=3)
    stream.sign({STRETCHING: 30}, note="one")
    stream.sign({STRETCHING: 30}, note="two")
    assert stream.used() == (2, 4, 0, 60)


NOTES = {
    "a": {STRETCHING: 7, CARDIO: 5},
    "b": {CARDIO: 8},
    "c": {STRENGTH: 23, STRETCHING: 4},
}


def test_a_days_need_is_the_same_in_whatever_order_its_notes_are_signed() -> None:
    results = set()
    for order in permutations(NOTES):
        stream = Stream()
        stream.authorize()
        for note in order:
            last = stream.sign(NOTES[note], note=note)
        results.add(
            (
                tuple(sorted(last.expected_units.items())),
                last.expected_units_undecided,
                *stream.used(),
            )
        )
    # S 11, C 13, T 23: 47 minutes are 3 units; T 1, then the largest remainders C 13 and S 11.
    assert results == {((("C", 1), ("S", 1), ("T", 1)), 0, 1, 3, 0, 47)}


def test_a_unit_moves_to_the_code_that_the_whole_day_gives_it_to() -> None:
    stream = Stream()
    stream.authorize()
    assert stream.sign({STRETCHING: 7, CARDIO: 5}, note="a").used_units == {"S": 1}
    again = stream.sign({CARDIO: 8}, note="b")
    assert again.used_units == {"C": 1}
    assert again.usage_changes[0].by_code == {"C": 1, "S": -1}
    assert stream.used() == (1, 1, 0, 20)


def test_a_day_keeps_what_it_drew_when_a_later_day_used_up_the_rest() -> None:
    stream = Stream()
    stream.authorize(units=3)
    stream.sign({STRETCHING: 15}, note="monday")
    stream.sign({STRETCHING: 30}, note="tuesday", day=DAY + timedelta(days=1))
    more = stream.sign({STRETCHING: 15}, note="monday again")
    assert (more.expected_units, more.used_units) == ({"S": 2}, {"S": 1})
    assert more.covered is CoverageStatus.PARTLY
    assert stream.used() == (2, 3, 0, 45)


def test_an_addendum_with_corrected_minutes_reckons_the_day_again() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20})
    (again,) = stream.correct("note", {STRETCHING: 40})
    assert again.used_units == {"S": 3}
    assert stream.used() == (1, 3, 0, 40)


def test_an_addendum_that_leaves_too_few_minutes_gives_everything_back() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20})
    (again,) = stream.correct("note", {STRETCHING: 5})
    assert (again.covered, again.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.UNDER_EIGHT_MINUTES,),
    )
    assert stream.used() == (0, 0, 0, 0)


def test_an_addendum_with_the_same_minutes_says_nothing_new() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20})
    assert stream.correct("note", {STRETCHING: 20}) == []


def test_giving_back_one_discipline_of_a_day_keeps_the_visit_of_the_other() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20}, note="physical")
    stream.sign({STRETCHING: 20}, note="occupational", credential=OT)
    stream.correct("physical", {STRETCHING: 0})
    assert stream.used() == (1, 1, 0, 20)


def test_a_day_that_earns_no_unit_wants_no_visit_either() -> None:
    stream = Stream()
    stream.authorize(visits=1)
    stream.sign({STRETCHING: 20}, note="one")
    used_units = stream.sign({STRETCHING: 5}, note="two", day=DAY + timedelta(days=1))
    assert (used_units.uncovered_reasons, used_units.excluded_minutes) == (
        (UncoveredReason.UNDER_EIGHT_MINUTES,),
        (),
    )
