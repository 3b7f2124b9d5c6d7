"""Ruling 59: a payer's rates and yearly thresholds have dates; a day is reckoned by those of that
day. Where no rate is on record an amount is unknown, never zero."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest

from billing.authorizations.domain.events import AuthorizationAmended, ExpectedAmount
from billing.authorizations.domain.threshold_advisory import ThresholdFacts, advise_of_thresholds
from billing.authorizations.domain.yearly_thresholds import (
    ThresholdState,
    YearlyUse,
    threshold_balances,
    threshold_reasons,
)
from billing.payers.domain.rates import ThresholdMeasure, YearlyThreshold
from billing.payers.domain.rules import PayerRules
from billing.visits.domain.coverage import give_visit_back
from billing.visits.domain.rule_corrections import (
    CorrectedPeriod,
    correct_visits,
    corrected_visits,
)
from practice.core.decisions import States
from tests.billing.streams import (
    CARDIO,
    DAY,
    STRETCHING,
    Stream,
    named,
    payer_rules,
    terms,
)

RATES = {"S": Decimal("31.25"), "C": Decimal("20.10")}
CHANGED = DAY + timedelta(days=6)


def rated(rates: dict[str, Decimal] = RATES, **changes: Any) -> PayerRules:
    return payer_rules(currency="USD", rates=rates, **changes)


def threshold(value: str, *codes: str, measure: str = "amount") -> YearlyThreshold:
    return YearlyThreshold(
        ThresholdMeasure(measure), Decimal(value), "letter of 2026-01-04", frozenset(codes)
    )


def used(amount: str | None, day: date = DAY, units: int = 2, code: str = "S") -> YearlyUse:
    """A visit that used units of one code, worth so much; None: no rate."""
    known = {code: Decimal(amount)} if amount else {}
    missing = () if amount else (code,)
    worth = ExpectedAmount(currency="USD", by_code=known, codes_without_rate=missing)
    return YearlyUse(named(f"{day}"), day, {code: units}, worth)


def test_a_visit_is_worth_its_units_times_the_rates_of_its_day() -> None:
    stream = Stream(rated())
    stream.authorize()
    visit = stream.sign({STRETCHING: 30, CARDIO: 15})
    amount = visit.expected_amount
    assert amount is not None
    assert (amount.currency, amount.by_code) == (
        "USD",
        {"S": Decimal("62.50"), "C": Decimal("20.10")},
    )
    assert (amount.total, amount.codes_without_rate) == (Decimal("82.60"), ())


def test_where_a_code_has_no_rate_the_amount_is_unknown_and_not_a_part_of_it() -> None:
    stream = Stream(rated({"S": Decimal("31.25")}))
    stream.authorize()
    amount = stream.sign({STRETCHING: 30, CARDIO: 15}).expected_amount
    assert amount is not None
    assert (amount.total, amount.codes_without_rate) == (None, ("C",))


def test_what_is_not_covered_has_no_amount() -> None:
    stream = Stream(rated())
    stream.authorize(visits=1)
    stream.sign({STRETCHING: 30})
    later = stream.sign({STRETCHING: 30}, note="later", day=DAY + timedelta(days=1))
    assert later.expected_amount is None
    visit = stream.visit_of("note").visit_id
    stream.add(*give_visit_back(stream.authorization_balance, visit, stream.payers, "x"))
    assert stream.visit_of("note").expected_amount is None


@pytest.mark.parametrize(
    ("day", "total"), [(CHANGED - timedelta(days=1), "62.50"), (CHANGED, "66.00")]
)
def test_a_day_is_worth_the_rate_of_that_day(day: date, total: str) -> None:
    before = rated(until=CHANGED)
    stream = Stream(rated({"S": Decimal("33.00")}, revision=2, earlier=(before,)))
    stream.authorize()
    amount = stream.sign({STRETCHING: 30}, day=day).expected_amount
    assert amount is not None
    assert amount.total == Decimal(total)


def test_a_corrected_rate_gives_visits_another_amount_and_covers_nothing_more() -> None:
    stream = Stream(rated())
    authorization = stream.authorize(units=1)
    stream.sign({STRETCHING: 30})
    stream.add(AuthorizationAmended(authorization_id=authorization, terms=terms(), reason="more"))
    rules = rated({"S": Decimal("33.00")}, revision=2)
    period = CorrectedPeriod(rules.payer_id)
    stream.payers = {rules.payer_id: rules}
    (found,) = corrected_visits(stream.authorization_balance, period, stream.payers)
    assert found.after.expected_amount is not None
    assert found.after.expected_amount.total == Decimal("33.00")
    assert found.after.used_units == {"S": 1}
    stream.add(*correct_visits([found], "the payer's letter"))
    assert stream.used() == (1, 1, 0, 15)
    assert corrected_visits(stream.authorization_balance, period, stream.payers) == []


def test_rates_corrected_for_later_days_leave_earlier_ones() -> None:
    stream = Stream(rated())
    stream.authorize()
    stream.sign({STRETCHING: 30})
    rules = rated({"S": Decimal("33.00")}, revision=2, earlier=(rated(until=CHANGED),))
    period = CorrectedPeriod(rules.payer_id)
    payers = {rules.payer_id: rules}
    assert corrected_visits(stream.authorization_balance, period, payers) == []


@pytest.mark.parametrize(
    ("amount", "state"),
    [
        ("79.99", ThresholdState.BELOW),
        ("80.00", ThresholdState.NEAR),
        ("100.00", ThresholdState.NEAR),
        ("100.01", ThresholdState.CROSSED),
    ],
)
def test_a_year_is_near_and_beyond_its_threshold(amount: str, state: ThresholdState) -> None:
    rules = rated(yearly_thresholds=(threshold("100.00"),))
    (balance,) = threshold_balances(rules, 2026, [used(amount)], 80)
    assert balance.state is state
    codes = [one.code for one in threshold_reasons([balance])]
    assert codes == ([] if state is ThresholdState.BELOW else [f"yearly_threshold_{state.value}"])


def test_only_the_days_of_a_calendar_year_count_towards_it() -> None:
    rules = rated(yearly_thresholds=(threshold("100.00"),))
    uses = [used("1.00", date(2025, 12, 31)), used("2.00", date(2026, 1, 1))]
    uses += [used("4.00", date(2026, 12, 31)), used("8.00", date(2027, 1, 1))]
    (balance,) = threshold_balances(rules, 2026, uses, 80)
    assert balance.used == Decimal("6.00")


def test_a_threshold_of_some_codes_or_of_units_sums_those() -> None:
    rules = rated(
        yearly_thresholds=(threshold("50.00", "S"), threshold("6", measure="units")),
    )
    uses = [used("62.50"), used("20.10", code="C", units=5)]
    of_code, of_units = threshold_balances(rules, 2026, uses, 80)
    assert of_code.used == Decimal("62.50")
    assert (of_units.used, of_units.state) == (Decimal(7), ThresholdState.CROSSED)
    texts = [one.text for one in threshold_reasons([of_code, of_units])]
    assert "62.50 of the 50.00 USD of S" in texts[0]
    assert "7 of the 6 units beyond" in texts[1]


def test_what_has_no_rate_is_said_and_the_rest_still_warns() -> None:
    rules = rated(yearly_thresholds=(threshold("60.00"),))
    (balance,) = threshold_balances(rules, 2026, [used("62.50"), used(None)], 80)
    assert (balance.used, balance.visits_without_amount) == (Decimal("62.50"), 1)
    (reason,) = threshold_reasons([balance])
    assert "at least 62.50" in reason.text


def test_amounts_of_another_currency_are_not_added_up() -> None:
    rules = payer_rules(currency="CAD", yearly_thresholds=(threshold("60.00"),))
    (balance,) = threshold_balances(rules, 2026, [used("62.50")], 80)
    assert (balance.used, balance.visits_without_amount) == (Decimal(0), 1)


def advised(stream: Stream, day: date) -> list[str]:
    facts: Any = SimpleNamespace(
        slot=SimpleNamespace(
            local_start=stream.clock.replace(year=day.year, month=day.month, day=day.day)
        )
    )
    states = States({"authorization_balance": stream.authorization_balance})
    given = ThresholdFacts(stream.payers, 80)
    return [one.code for one in advise_of_thresholds(facts, states, given, stream.context)]


def test_a_booking_warns_before_and_at_the_crossing_by_the_thresholds_of_its_day() -> None:
    none = rated(until=CHANGED)
    stream = Stream(rated(yearly_thresholds=(threshold("100.00"),), revision=2, earlier=(none,)))
    stream.authorize()
    stream.authorize(
        "next year", number="A-2", starts_on=date(2027, 1, 1), ends_on=date(2027, 2, 1)
    )
    stream.sign({STRETCHING: 30})
    assert advised(stream, CHANGED) == []
    stream.sign({STRETCHING: 15}, note="second", day=DAY + timedelta(days=1))
    assert advised(stream, CHANGED) == ["yearly_threshold_near"]
    stream.sign({STRETCHING: 15}, note="third", day=DAY + timedelta(days=2))
    assert advised(stream, CHANGED) == ["yearly_threshold_crossed"]
    assert advised(stream, CHANGED - timedelta(days=1)) == []  # no threshold was in force
    assert advised(stream, date(2027, 1, 4)) == []  # another year
    assert advised(stream, date(2026, 7, 1)) == []  # no authorization covers the day
