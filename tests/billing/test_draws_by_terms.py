"""Terms of an authorization: its period, its codes, and whom it and its payer pay."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from billing.authorizations.domain.events import AuthorizationEnded, BillableUnits
from billing.authorizations.domain.terms import CoverageStatus, Discipline, UncoveredReason
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
)


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
