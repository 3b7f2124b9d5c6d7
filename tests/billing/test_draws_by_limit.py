"""Limits of an authorization: visits, units, units of a code, minutes; and limits reduced later."""

from __future__ import annotations

from datetime import timedelta

from billing.authorizations.domain.events import AuthorizationAmended
from billing.authorizations.domain.terms import CoverageStatus, UncoveredReason
from billing.payers.domain.rules import VisitDefinition
from tests.billing.streams import (
    CARDIO,
    DAY,
    OT,
    STRETCHING,
    Stream,
    lines,
    named,
    payer_rules,
    terms,
)


def test_no_visit_left() -> None:
    stream = Stream()
    stream.authorize(visits=1)
    stream.sign({STRETCHING: 30}, note="one")
    used_units = stream.sign({STRETCHING: 30}, note="two", day=DAY + timedelta(days=1))
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.NO_VISITS_LEFT,),
    )
    assert stream.used() == (1, 2, 0, 30)


def test_no_unit_left_covers_nothing_though_visits_are_left() -> None:
    stream = Stream()
    stream.authorize(units=2)
    stream.sign({STRETCHING: 30}, note="one")
    used_units = stream.sign({STRETCHING: 30}, note="two", day=DAY + timedelta(days=1))
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.NO_UNITS_LEFT,),
    )
    assert stream.used() == (1, 2, 0, 30)


def test_fewer_units_left_than_needed_cover_the_visit_partly() -> None:
    stream = Stream()
    stream.authorize(units=3)
    used_units = stream.sign({STRETCHING: 60})
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.PARTLY,
        (UncoveredReason.UNITS_SHORT,),
    )
    assert (used_units.expected_units, used_units.used_units) == ({"S": 4}, {"S": 3})
    assert [(one.minutes, one.uncovered_reason) for one in used_units.excluded_minutes] == [
        (15, UncoveredReason.UNITS_SHORT)
    ]
    assert stream.used() == (1, 3, 0, 45)


def test_the_minutes_signed_last_are_those_that_go_unpaid() -> None:
    stream = Stream()
    stream.authorize(units=3)
    stream.sign({STRETCHING: 30}, note="morning")
    used_units = stream.sign({STRETCHING: 40, CARDIO: 5}, note="evening")
    assert (used_units.used_units, used_units.used_minutes) == ({"S": 3}, 45)
    assert {(one.note_id, one.code, one.minutes) for one in used_units.excluded_minutes} == {
        (named("evening"), "S", 25),
        (named("evening"), "C", 5),
    }


def test_two_codes_that_share_too_few_units_draw_the_sure_ones_and_reserve_the_rest() -> None:
    stream = Stream()
    stream.authorize(units=3)
    used_units = stream.sign({STRETCHING: 30, CARDIO: 30})
    assert used_units.used_units == {"S": 1, "C": 1}
    assert used_units.undecided is not None
    assert (used_units.undecided.units, used_units.undecided.max_by_code) == (1, {"S": 1, "C": 1})
    assert stream.used() == (1, 2, 1, 30)
    assert (used_units.reserved_minutes, used_units.excluded_minutes) == (15, ())


def test_units_of_a_line_that_is_used_up_are_not_drawn() -> None:
    stream = Stream()
    stream.authorize(lines=lines(S=1, C=None))
    used_units = stream.sign({STRETCHING: 30, CARDIO: 15})
    assert used_units.used_units == {"S": 1, "C": 1}
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.PARTLY,
        (UncoveredReason.UNITS_SHORT,),
    )


def test_authorized_minutes_are_never_overdrawn_and_units_fit_the_minutes_left() -> None:
    stream = Stream()
    stream.authorize(visits=None, units=None, minutes=60)
    stream.sign({STRETCHING: 45}, note="one")
    short = stream.sign({STRETCHING: 45}, note="two", day=DAY + timedelta(days=1))
    assert (short.used_units, short.used_minutes) == ({"S": 1}, 15)
    assert (short.covered, short.uncovered_reasons) == (
        CoverageStatus.PARTLY,
        (UncoveredReason.MINUTES_SHORT,),
    )
    none = stream.sign({STRETCHING: 45}, note="three", day=DAY + timedelta(days=2))
    assert (none.covered, none.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.NO_MINUTES_LEFT,),
    )
    assert stream.used() == (2, 4, 0, 60)


def test_where_each_session_is_a_visit_one_without_a_visit_left_drops_out() -> None:
    stream = Stream(payer_rules(visit_definition=VisitDefinition.SESSION))
    stream.authorize(visits=1)
    stream.sign({STRETCHING: 30}, note="one")
    used_units = stream.sign({STRETCHING: 30}, note="two")
    assert (used_units.expected_units, used_units.used_units) == ({"S": 4}, {"S": 2})
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.PARTLY,
        (UncoveredReason.NO_VISITS_LEFT,),
    )
    assert stream.used() == (1, 2, 0, 30)


def test_reduced_below_what_was_drawn_the_draws_stand() -> None:
    stream = Stream()
    authorization = stream.authorize(units=4)
    stream.sign({STRETCHING: 45})
    stream.add(
        AuthorizationAmended(authorization_id=authorization, terms=terms(units=1), reason="reduced")
    )
    (again,) = stream.correct("note", {STRETCHING: 46})
    assert again.used_units == {"S": 3}
    (grown,) = stream.correct("note", {STRETCHING: 60})
    assert (grown.expected_units, grown.used_units) == ({"S": 4}, {"S": 3})
    assert stream.used() == (1, 3, 0, 45)


def test_a_code_taken_out_of_the_authorization_later_keeps_what_it_drew() -> None:
    stream = Stream()
    authorization = stream.authorize(lines=lines(S=None, C=None))
    stream.sign({STRETCHING: 20, CARDIO: 30})
    now = terms(lines=lines(S=None))
    stream.add(AuthorizationAmended(authorization_id=authorization, terms=now, reason="reduced"))
    (again,) = stream.correct("note", {STRETCHING: 21, CARDIO: 30})
    assert again.used_units == {"S": 1, "C": 2}


def test_nothing_is_covered_by_itself_when_room_appears() -> None:
    stream = Stream()
    authorization = stream.authorize(visits=1)
    stream.sign({STRETCHING: 30}, note="one")
    stream.sign({STRETCHING: 30}, note="two", day=DAY + timedelta(days=1))
    stream.add(
        AuthorizationAmended(authorization_id=authorization, terms=terms(), reason="extended")
    )
    stream.sign({STRETCHING: 30}, note="three", day=DAY + timedelta(days=2))
    assert stream.visit_of("two").covered is CoverageStatus.NOT
    assert stream.used() == (2, 4, 0, 60)


def test_the_last_visit_covers_both_disciplines_of_its_day() -> None:
    stream = Stream()
    stream.authorize(visits=1)
    stream.sign({STRETCHING: 20}, note="physical")
    used_units = stream.sign({STRETCHING: 20}, note="occupational", credential=OT)
    assert used_units.covered is CoverageStatus.COVERED
    assert stream.used() == (1, 2, 0, 40)


def test_a_line_reduced_below_what_was_drawn_keeps_its_draws() -> None:
    stream = Stream()
    authorization = stream.authorize(lines=lines(S=3))
    stream.sign({STRETCHING: 45})
    now = terms(lines=lines(S=1))
    stream.add(AuthorizationAmended(authorization_id=authorization, terms=now, reason="reduced"))
    (again,) = stream.correct("note", {STRETCHING: 46})
    assert again.used_units == {"S": 3}
