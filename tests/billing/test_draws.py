"""What a signature draws, and every reason why a visit is not covered."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import permutations
from uuid import UUID

import pytest

from billing.authorizations.domain.events import (
    AuthorizationAmended,
    AuthorizationEnded,
    BillableUnits,
)
from billing.authorizations.domain.terms import CoverageStatus, Discipline, UncoveredReason
from billing.payers.domain.rules import VisitDefinition
from billing.visits.domain.overrides import override_authorization
from tests.billing.streams import (
    CARDIO,
    DAY,
    OT,
    PT,
    STRENGTH,
    STRETCHING,
    TALK,
    TRAINER,
    Stream,
    lines,
    named,
    payer_rules,
    terms,
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


def test_without_an_authorization_the_visit_stays_with_the_reason() -> None:
    stream = Stream()
    used_units = stream.sign({STRETCHING: 30})
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.NO_AUTHORIZATION,),
    )
    assert used_units.usage_changes == ()


@pytest.mark.parametrize(
    "day", [date(2026, 2, 28), date(2026, 6, 1)], ids=["the day before", "the day after"]
)
def test_a_day_outside_the_period_draws_nothing(day: date) -> None:
    stream = Stream()
    stream.authorize()
    used_units = stream.sign({STRETCHING: 30}, day=day)
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.OUTSIDE_PERIOD,),
    )
    assert used_units.expected_units == {"S": 2}
    assert stream.used() == (0, 0, 0, 0)


@pytest.mark.parametrize("day", [date(2026, 3, 1), date(2026, 5, 31)], ids=["first", "last"])
def test_the_first_and_the_last_day_of_the_period_count(day: date) -> None:
    stream = Stream()
    stream.authorize()
    assert stream.sign({STRETCHING: 30}, day=day).covered is CoverageStatus.COVERED


def test_an_ended_authorization_covers_up_to_its_last_day() -> None:
    stream = Stream()
    authorization = stream.authorize()
    stream.add(AuthorizationEnded(authorization_id=authorization, ends_on=DAY, reason="moved"))
    assert stream.sign({STRETCHING: 30}, note="on it").covered is CoverageStatus.COVERED
    after = stream.sign({STRETCHING: 30}, note="after", day=DAY + timedelta(days=1))
    assert (after.covered, after.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.AUTHORIZATION_ENDED,),
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


def test_under_eight_timed_minutes_in_all_draw_no_visit() -> None:
    stream = Stream()
    stream.authorize()
    used_units = stream.sign({STRETCHING: 4, CARDIO: 3})
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.UNDER_EIGHT_MINUTES,),
    )
    assert stream.used() == (0, 0, 0, 0)


def test_time_of_a_credential_that_the_payer_does_not_pay_draws_nothing() -> None:
    """Trainers' time is no therapy time (CMS Pub. 100-02 ch. 15 section 220)."""
    stream = Stream()
    stream.authorize()
    used_units = stream.sign({STRENGTH: 45}, credential=TRAINER)
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.CREDENTIAL_NOT_PAID,),
    )
    assert used_units.discipline is Discipline.PERSONAL_TRAINING


def test_a_code_that_is_not_authorized_drops_out_before_the_units_are_reckoned() -> None:
    stream = Stream()
    stream.authorize(lines=lines(S=None))
    used_units = stream.sign({STRETCHING: 20, CARDIO: 20})
    assert used_units.expected_units == used_units.used_units == {"S": 1}
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.PARTLY,
        (UncoveredReason.CODE_NOT_AUTHORIZED,),
    )


def test_only_codes_that_are_not_authorized_leave_the_visit_uncovered() -> None:
    stream = Stream()
    stream.authorize(lines=lines(S=None))
    used_units = stream.sign({CARDIO: 20})
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.CODE_NOT_AUTHORIZED,),
    )


def test_a_practitioner_whom_the_authorization_does_not_name_drops_out() -> None:
    stream = Stream()
    stream.authorize(practitioner_ids=(named("practitioner"),))
    used_units = stream.sign({STRETCHING: 30}, by="someone else")
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.PRACTITIONER_NOT_AUTHORIZED,),
    )


def test_a_visit_of_parts_without_any_service_code_says_so() -> None:
    stream = Stream()
    stream.authorize()
    used_units = stream.sign({TALK: 30})
    assert (used_units.covered, used_units.uncovered_reasons) == (
        CoverageStatus.NOT,
        (UncoveredReason.NO_SERVICE_CODE,),
    )


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


def test_the_order_is_coverage_then_earliest_end_then_number() -> None:
    stream = Stream()
    stream.authorize("second coverage", coverage_order=2, number="A", ends_on=date(2026, 4, 1))
    stream.authorize("later end", number="A", ends_on=date(2026, 5, 31))
    stream.authorize("number B", number="B", ends_on=date(2026, 5, 1))
    stream.authorize("number A", number="A", ends_on=date(2026, 5, 1))
    assert stream.sign({STRETCHING: 20}).authorization_id == named("number A")


def test_a_visit_never_spills_over_two_authorizations() -> None:
    stream = Stream()
    stream.authorize("first", units=1, ends_on=date(2026, 4, 1))
    stream.authorize("second", number="A-2")
    used_units = stream.sign({STRETCHING: 30})
    assert (used_units.authorization_id, used_units.used_units) == (named("first"), {"S": 1})
    assert stream.used("second") == (0, 0, 0, 0)


def test_a_visit_draws_from_the_next_one_where_the_first_has_nothing_left() -> None:
    stream = Stream()
    stream.authorize("first", visits=1, ends_on=date(2026, 4, 1))
    stream.authorize("second", number="A-2")
    stream.sign({STRETCHING: 30}, note="one")
    used_units = stream.sign({STRETCHING: 30}, note="two", day=DAY + timedelta(days=1))
    assert (used_units.authorization_id, used_units.covered) == (
        named("second"),
        CoverageStatus.COVERED,
    )


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


def test_a_day_that_earns_no_unit_wants_no_visit_either() -> None:
    stream = Stream()
    stream.authorize(visits=1)
    stream.sign({STRETCHING: 20}, note="one")
    used_units = stream.sign({STRETCHING: 5}, note="two", day=DAY + timedelta(days=1))
    assert (used_units.uncovered_reasons, used_units.excluded_minutes) == (
        (UncoveredReason.UNDER_EIGHT_MINUTES,),
        (),
    )


def test_a_line_reduced_below_what_was_drawn_keeps_its_draws() -> None:
    stream = Stream()
    authorization = stream.authorize(lines=lines(S=3))
    stream.sign({STRETCHING: 45})
    now = terms(lines=lines(S=1))
    stream.add(AuthorizationAmended(authorization_id=authorization, terms=now, reason="reduced"))
    (again,) = stream.correct("note", {STRETCHING: 46})
    assert again.used_units == {"S": 3}


def test_a_day_stays_with_the_authorization_that_it_drew_from() -> None:
    stream = Stream()
    first = stream.authorize("first", visits=1, ends_on=date(2026, 4, 1))
    stream.authorize("second", number="A-2")
    stream.sign({STRETCHING: 30}, note="one")
    stream.sign({STRETCHING: 30}, note="two", day=DAY + timedelta(days=1))
    more = terms(visits=5, ends_on=date(2026, 4, 1))
    stream.add(AuthorizationAmended(authorization_id=first, terms=more, reason="extended"))
    again = stream.sign({STRETCHING: 15}, note="two again", day=DAY + timedelta(days=1))
    assert (again.authorization_id, again.used_units) == (named("second"), {"S": 3})
    assert stream.used("first") == (1, 2, 0, 30)


def test_the_reason_is_that_of_the_authorization_which_could_have_covered_it() -> None:
    stream = Stream()
    stream.authorize("other codes", lines=lines(C=None), ends_on=date(2026, 4, 1))
    stream.authorize("used up", number="A-2", lines=lines(S=None), visits=1)
    stream.sign({STRETCHING: 30}, note="one")
    used_units = stream.sign({STRETCHING: 30}, note="two", day=DAY + timedelta(days=1))
    assert (used_units.authorization_id, used_units.uncovered_reasons) == (
        named("used up"),
        (UncoveredReason.NO_VISITS_LEFT,),
    )


def test_time_that_nobody_pays_still_says_what_it_would_be_worth() -> None:
    stream = Stream()
    stream.authorize()
    trained = stream.sign({STRENGTH: 45, TALK: 5}, credential=TRAINER)
    assert trained.billable_units == BillableUnits(
        payer_id=named("payer"), timed_minutes=45, units={"T": 3}
    )
    late = stream.sign({STRETCHING: 20, CARDIO: 20}, note="late", day=date(2026, 6, 1))
    assert late.covered is CoverageStatus.NOT
    assert late.billable_units == BillableUnits(
        payer_id=named("payer"), timed_minutes=40, units={"C": 1, "S": 1}, undecided_units=1
    )


def test_a_part_without_a_code_for_the_credential_is_worth_what_paid_ones_earn() -> None:
    codes = {(STRENGTH, PT): "T", (STRENGTH, OT): "T", (CARDIO, PT): "C", (CARDIO, OT): "C2"}
    stream = Stream(payer_rules(codes=codes))
    stream.authorize()
    used_units = stream.sign({STRENGTH: 30, CARDIO: 30}, credential=TRAINER)
    assert used_units.billable_units == BillableUnits(
        payer_id=named("payer"), timed_minutes=30, units={"T": 2}
    )


def test_without_any_authorization_no_payer_is_known_and_no_worth_reckoned() -> None:
    assert Stream().sign({STRETCHING: 30}).billable_units is None


def two_authorizations(units: int) -> Stream:
    """The earliest that ends has so many units, a later one twenty; a third covers other days."""
    stream = Stream()
    stream.authorize("first", units=units, ends_on=date(2026, 4, 1))
    stream.authorize("second", number="A-2")
    stream.authorize("other days", number="A-3", starts_on=date(2026, 4, 1))
    return stream


@pytest.mark.parametrize(
    ("units", "covered", "offered"),
    [
        (1, CoverageStatus.PARTLY, (named("second"),)),
        (2, CoverageStatus.COVERED, ()),
    ],
)
def test_another_authorization_that_would_cover_all_of_a_visit_is_offered(
    units: int, covered: CoverageStatus, offered: tuple[UUID, ...]
) -> None:
    """Ruling 37 stands: the earliest that ends is used, and the visit never spills."""
    used = two_authorizations(units).sign({STRETCHING: 30})
    assert (used.authorization_id, used.covered) == (named("first"), covered)
    assert used.fully_covered_by == offered


def test_what_would_cover_no_more_of_a_visit_is_not_offered() -> None:
    stream = Stream()
    stream.authorize("first", units=1, ends_on=date(2026, 4, 1))
    stream.authorize("second", number="A-2", units=1)
    assert stream.sign({STRETCHING: 30}).fully_covered_by == ()


def test_naming_what_is_offered_covers_all_of_the_visit() -> None:
    stream = two_authorizations(1)
    visit = stream.sign({STRETCHING: 30})
    (offered,) = visit.fully_covered_by
    stream.add(
        *override_authorization(
            stream.authorization_balance, visit.visit_id, offered, stream.payers, "all of it"
        )
    )
    now = stream.visit_of("note")
    assert (now.covered, now.fully_covered_by) == (CoverageStatus.COVERED, ())
    assert (stream.used("first"), stream.used("second")) == ((0, 0, 0, 0), (1, 2, 0, 30))
