"""Where a person must choose: equal remainders, too few units, which authorization."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from billing.authorizations.domain.events import (
    AuthorizationAmended,
    VisitCalculated,
    VisitOverridden,
)
from billing.authorizations.domain.terms import (
    UNCOVERED_REASON_TEXT,
    CoverageStatus,
    UncoveredReason,
    UndecidedReason,
)
from billing.visits.domain.overrides import override_authorization, override_units
from practice.core.reasons import Rejected
from tests.billing.streams import CARDIO, DAY, STRENGTH, STRETCHING, Stream, lines, named, terms


def choose(stream: Stream, note: str, **units: int) -> VisitCalculated:
    visit_id = stream.visit_of(note).visit_id
    stream.add(*override_units(stream.authorization_balance, visit_id, units, stream.payers, ""))
    return stream.visit_of(note)


def test_equal_remainders_draw_the_sure_units_and_reserve_the_rest() -> None:
    """The manual's example 2: 20 + 20 minutes, either code may have the third unit."""
    stream = Stream()
    stream.authorize()
    used_units = stream.sign({STRETCHING: 20, CARDIO: 20})
    assert used_units.used_units == {"S": 1, "C": 1}
    assert used_units.undecided is not None
    assert used_units.undecided.undecided_reason is UndecidedReason.EQUAL_REMAINDERS
    assert (used_units.undecided.units, used_units.undecided.max_by_code) == (1, {"C": 1, "S": 1})
    assert stream.used() == (1, 2, 1, 30)
    assert used_units.reserved_minutes == 10


def test_a_choice_draws_the_reserved_unit() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20, CARDIO: 20})
    after = choose(stream, "note", C=1)
    assert (after.used_units, after.undecided) == ({"S": 1, "C": 2}, None)
    assert stream.used() == (1, 3, 0, 40)


def test_a_choice_of_one_code_among_three_of_seven_minutes() -> None:
    """The manual's example 5."""
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 7, CARDIO: 7, STRENGTH: 7})
    assert stream.used() == (1, 0, 1, 0)
    assert choose(stream, "note", T=1).used_units == {"T": 1}
    assert stream.used() == (1, 1, 0, 21)


def test_the_same_choice_again_changes_nothing() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20, CARDIO: 20})
    before = choose(stream, "note", C=1)
    count = len(stream.events)
    assert choose(stream, "note", C=1) == before
    assert len(stream.events) == count


@pytest.mark.parametrize("units", [{}, {"S": 2}, {"S": 1, "C": 1}, {"T": 1}, {"S": -1, "C": 2}])
def test_a_choice_that_does_not_fit_is_refused_with_what_would(units: dict[str, int]) -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20, CARDIO: 20})
    with pytest.raises(Rejected) as refused:
        choose(stream, "note", **units)
    assert refused.value.status == 400
    assert "C (at most 1), S (at most 1)" in refused.value.fields["units"]


def test_a_second_choice_replaces_the_first() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20, CARDIO: 20})
    assert stream.visit_of("note").expected_units_undecided == 1
    first = choose(stream, "note", C=1)
    assert (first.units_chosen, first.expected_units, first.expected_units_undecided) == (
        True,
        {"S": 1, "C": 2},
        0,
    )
    second = choose(stream, "note", S=1)
    assert (second.used_units, second.expected_units, second.expected_units_undecided) == (
        {"S": 2, "C": 1},
        {"S": 2, "C": 1},
        0,
    )
    assert second.usage_changes[0].by_code == {"C": -1, "S": 1}
    assert stream.used() == (1, 3, 0, 40)
    made = [one.data.units for one in stream.events if isinstance(one.data, VisitOverridden)]
    assert made == [{"C": 1}, {"S": 1}]
    (again,) = stream.correct("note", {STRETCHING: 21, CARDIO: 21})
    assert again.used_units == {"S": 2, "C": 1}


def test_a_choice_stands_when_the_line_of_the_other_code_is_used_up_later() -> None:
    stream = Stream()
    stream.authorize(lines=lines(S=2, C=5))
    stream.sign({STRETCHING: 20, CARDIO: 20})
    choose(stream, "note", C=1)
    stream.sign({STRETCHING: 15}, note="later", day=DAY + timedelta(days=1))
    (again,) = stream.correct("note", {STRETCHING: 21, CARDIO: 21})
    assert (again.used_units, again.undecided) == ({"S": 1, "C": 2}, None)


def test_a_second_choice_never_draws_beyond_a_line_that_was_used_up_meanwhile() -> None:
    stream = Stream()
    stream.authorize(lines=lines(S=2, C=5))
    stream.sign({STRETCHING: 20, CARDIO: 20})
    choose(stream, "note", C=1)
    later = stream.sign({STRETCHING: 15}, note="later", day=DAY + timedelta(days=1))
    assert later.used_units == {"S": 1}
    with pytest.raises(Rejected) as refused:
        choose(stream, "note", S=1)
    assert refused.value.fields == {"units": "Give 1 unit(s) in all among C (at most 1)."}


def test_a_second_choice_of_units_that_were_short_moves_the_minutes_too() -> None:
    stream = Stream()
    stream.authorize(units=2)
    used_units = stream.sign({STRETCHING: 33, CARDIO: 7})
    assert (used_units.used_units, used_units.used_minutes, used_units.reserved_minutes) == (
        {"S": 1},
        15,
        15,
    )
    first = choose(stream, "note", S=1)
    assert (first.used_minutes, stream.used()) == (30, (1, 2, 0, 30))
    assert [(one.code, one.minutes) for one in first.excluded_minutes] == [("S", 3), ("C", 7)]
    second = choose(stream, "note", C=1)
    assert (second.used_units, stream.used()) == ({"S": 1, "C": 1}, (1, 2, 0, 22))
    assert [(one.code, one.minutes) for one in second.excluded_minutes] == [("S", 18)]
    assert (second.expected_units, second.expected_units_undecided) == ({"S": 2, "C": 1}, 0)


def test_authorized_minutes_that_a_choice_may_still_draw_are_nobody_elses() -> None:
    stream = Stream()
    stream.authorize(units=None, visits=None, minutes=48)
    stream.sign({STRETCHING: 20, CARDIO: 20})
    later = stream.sign({STRETCHING: 20}, note="later", day=DAY + timedelta(days=1))
    assert (later.used_units, later.used_minutes) == ({"S": 1}, 8)
    assert choose(stream, "note", S=1).used_units == {"S": 2, "C": 1}
    assert stream.used() == (2, 4, 0, 48)


def test_where_nothing_waits_there_is_nothing_to_choose() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20})
    with pytest.raises(Rejected) as refused:
        choose(stream, "note", S=1)
    assert (refused.value.code, refused.value.status) == ("nothing_to_choose", 409)


def test_a_choice_holds_while_the_day_asks_the_same_question() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20, CARDIO: 20})
    choose(stream, "note", C=1)
    (again,) = stream.correct("note", {STRETCHING: 21, CARDIO: 21})
    assert (again.used_units, again.undecided) == ({"S": 1, "C": 2}, None)


def test_other_minutes_that_answer_the_question_themselves_end_a_choice() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20, CARDIO: 20})
    choose(stream, "note", C=1)
    (again,) = stream.correct("note", {STRETCHING: 22, CARDIO: 20})
    assert (again.used_units, again.undecided) == ({"S": 2, "C": 1}, None)
    assert stream.used() == (1, 3, 0, 42)


def test_a_reserved_unit_is_nobody_elses() -> None:
    stream = Stream()
    stream.authorize(units=3)
    stream.sign({STRETCHING: 20, CARDIO: 20}, note="waits")
    later = stream.sign({STRETCHING: 20}, note="later", day=DAY + timedelta(days=1))
    assert later.covered is CoverageStatus.NOT
    assert choose(stream, "waits", S=1).used_units == {"S": 2, "C": 1}
    assert stream.used() == (1, 3, 0, 40)


def test_a_line_that_a_choice_may_still_use_is_not_given_away() -> None:
    stream = Stream()
    stream.authorize(lines=lines(S=2, C=5))
    stream.sign({STRETCHING: 20, CARDIO: 20}, note="waits")
    later = stream.sign({STRETCHING: 20}, note="later", day=DAY + timedelta(days=1))
    assert later.covered is CoverageStatus.NOT
    assert choose(stream, "waits", S=1).used_units == {"S": 2, "C": 1}


def test_a_person_may_name_the_authorization_and_it_holds_for_later_signatures() -> None:
    stream = Stream()
    stream.authorize("first", ends_on=date(2026, 4, 1))
    stream.authorize("second", number="A-2")
    visit = stream.sign({STRETCHING: 30}, note="one")
    assert visit.authorization_id == named("first")
    decided = override_authorization(
        stream.authorization_balance,
        visit.visit_id,
        named("second"),
        stream.payers,
        "the payer asked",
    )
    stream.add(*decided)
    assert stream.used("first") == (0, 0, 0, 0)
    assert stream.used("second") == (1, 2, 0, 30)
    assert stream.sign({STRETCHING: 15}, note="two").authorization_id == named("second")
    assert stream.used("second") == (1, 3, 0, 45)


def test_a_visit_is_covered_by_a_persons_act_after_room_appeared() -> None:
    stream = Stream()
    authorization = stream.authorize(visits=1)
    stream.sign({STRETCHING: 30}, note="one")
    visit = stream.sign({STRETCHING: 30}, note="two", day=DAY + timedelta(days=1))
    stream.add(AuthorizationAmended(authorization_id=authorization, terms=terms(), reason="more"))
    stream.add(
        *override_authorization(
            stream.authorization_balance, visit.visit_id, authorization, stream.payers, ""
        )
    )
    assert stream.visit_of("two").covered is CoverageStatus.COVERED
    assert stream.used() == (2, 4, 0, 60)


@pytest.mark.parametrize(
    ("changes", "uncovered_reason"),
    [
        ({"starts_on": date(2026, 4, 1)}, UncoveredReason.OUTSIDE_PERIOD),
        ({"ends_on": date(2026, 3, 1)}, UncoveredReason.OUTSIDE_PERIOD),
        ({"visits": 1}, UncoveredReason.NO_VISITS_LEFT),
        ({"units": 2}, UncoveredReason.NO_UNITS_LEFT),
        ({"lines": lines(C=None)}, UncoveredReason.CODE_NOT_AUTHORIZED),
    ],
    ids=["begins later", "expired", "no visit left", "no unit left", "another code"],
)
def test_an_authorization_that_cannot_cover_a_visit_cannot_be_named(
    changes: dict[str, Any], uncovered_reason: UncoveredReason
) -> None:
    stream = Stream()
    other = stream.authorize("other", number="A-0", **changes)
    stream.sign({STRETCHING: 30}, note="uses up what the other one has")
    stream.authorize()
    visit = stream.sign({STRETCHING: 30}, day=DAY + timedelta(days=1))
    assert visit.authorization_id == named("authorization")
    for _ in range(2):
        with pytest.raises(Rejected) as refused:
            override_authorization(
                stream.authorization_balance, visit.visit_id, other, stream.payers, ""
            )
        assert (refused.value.code, refused.value.status) == ("authorization_does_not_cover", 409)
        assert [one.code for one in refused.value.reasons] == [uncovered_reason.value]
        assert UNCOVERED_REASON_TEXT[uncovered_reason] in refused.value.detail


@pytest.mark.parametrize("what", ["visit", "authorization"])
def test_an_unknown_visit_or_authorization_is_not_found(what: str) -> None:
    stream = Stream()
    stream.authorize()
    visit = stream.sign({STRETCHING: 30})
    ids = {"visit": visit.visit_id, "authorization": named("authorization"), what: named("none")}
    with pytest.raises(Rejected) as refused:
        override_authorization(
            stream.authorization_balance, ids["visit"], ids["authorization"], stream.payers, ""
        )
    assert refused.value.status == 404


def test_fewer_units_left_than_equal_remainders_reserve_only_what_is_left() -> None:
    stream = Stream()
    stream.authorize(units=1)
    used_units = stream.sign({STRETCHING: 10, CARDIO: 10, STRENGTH: 10})
    assert used_units.expected_units_undecided == 2
    assert used_units.undecided is not None
    assert (used_units.undecided.units, used_units.covered) == (1, CoverageStatus.PARTLY)
    assert stream.used() == (1, 0, 1, 0)
    after = choose(stream, "note", S=1)
    assert (after.used_units, after.expected_units, after.expected_units_undecided) == (
        {"S": 1},
        {"S": 1},
        1,
    )
    assert {(one.code, one.minutes, one.uncovered_reason) for one in after.excluded_minutes} == {
        ("C", 10, UncoveredReason.UNITS_SHORT),
        ("T", 10, UncoveredReason.UNITS_SHORT),
    }
    assert stream.used() == (1, 1, 0, 10)


def test_another_question_than_the_one_answered_is_asked_anew() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 20, CARDIO: 20})
    choose(stream, "note", C=1)
    (again,) = stream.correct("note", {STRETCHING: 10, CARDIO: 10, STRENGTH: 10})
    assert again.used_units == {}
    assert again.undecided is not None
    assert (again.undecided.units, sorted(again.undecided.max_by_code)) == (2, ["C", "S", "T"])
