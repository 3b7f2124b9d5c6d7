"""Rules of money told one by one: rates by their day, a visit of two disciplines, what is left."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from billing.authorizations.domain.decisions import end_authorization
from billing.authorizations.domain.events import AuthorizationAmended, UndecidedUnits
from billing.authorizations.domain.terms import UncoveredReason, UndecidedReason
from billing.payers.domain.periods import RulePeriod, changed_from
from billing.payers.domain.rates import ThresholdMeasure, YearlyThreshold, amounts_by_code
from billing.payers.domain.rules import VisitDefinition
from billing.units.domain.units import units_of_total
from billing.visits.domain.allocation import Allocation, with_override
from tests.billing.streams import (
    CARDIO,
    DAY,
    OT,
    PT,
    STRENGTH,
    STRETCHING,
    TALK,
    Stream,
    lines,
    named,
    payer_rules,
    terms,
)
from tests.billing.test_choices import choose

FIRST = date(2026, 3, 8)
OLD, NEW = {"rate": 31, "code": "S"}, {"rate": 35, "code": "S"}


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ([RulePeriod(OLD)], [RulePeriod(OLD, FIRST), RulePeriod(NEW)]),
        (
            [RulePeriod(OLD, FIRST), RulePeriod({"rate": 40, "code": "T"})],
            [RulePeriod(OLD, FIRST), RulePeriod({"rate": 35, "code": "T"})],
        ),
        (
            [RulePeriod(OLD, FIRST + timedelta(days=1)), RulePeriod({"rate": 35, "code": "T"})],
            [
                RulePeriod(OLD, FIRST),
                RulePeriod(NEW, FIRST + timedelta(days=1)),
                RulePeriod({"rate": 35, "code": "T"}),
            ],
        ),
        ([RulePeriod(NEW)], [RulePeriod(NEW)]),
    ],
)
def test_a_new_rate_holds_from_its_day_and_the_days_before_keep_theirs(
    before: list[RulePeriod], after: list[RulePeriod]
) -> None:
    assert changed_from(before, {"rate": 35}, FIRST) == after


@pytest.mark.parametrize(
    ("units", "known", "unknown"),
    [
        ({"S": 3}, {"S": Decimal("93.75")}, ()),
        ({"S": 1, "C": 2}, {"S": Decimal("31.25")}, ("C",)),
        ({"S": 1, "C": 0}, {"S": Decimal("31.25")}, ()),
        ({"S": 0}, {}, ()),
    ],
)
def test_an_amount_is_units_times_rate_and_what_was_not_used_needs_no_rate(
    units: dict[str, int], known: dict[str, Decimal], unknown: tuple[str, ...]
) -> None:
    assert amounts_by_code(units, {"S": Decimal("31.25")}) == (known, unknown)


@pytest.mark.parametrize(
    ("codes", "counts"), [((), True), (("S",), True), (("C",), False), (("C", "S"), True)]
)
def test_a_threshold_sums_the_codes_that_it_names_or_else_all(
    codes: tuple[str, ...], *, counts: bool
) -> None:
    measure = ThresholdMeasure.UNITS
    threshold = YearlyThreshold(measure, Decimal(50), "a letter", frozenset(codes))
    assert threshold.counts("S") is counts


@pytest.mark.parametrize(
    ("minutes", "units"), [(0, 0), (7, 0), (8, 1), (22, 1), (23, 2), (37, 2), (38, 3)]
)
def test_eight_minutes_are_the_first_unit_and_each_fifteen_another(
    minutes: int, units: int
) -> None:
    """CMS Pub. 100-04, chapter 5, section 20.2 C."""
    assert units_of_total(minutes) == units


@pytest.mark.parametrize(
    ("definition", "visits"), [(VisitDefinition.CALENDAR_DAY, 1), (VisitDefinition.SESSION, 2)]
)
def test_two_disciplines_of_a_day_are_one_visit_where_the_day_is_one(
    definition: VisitDefinition, visits: int
) -> None:
    stream = Stream(payer_rules(visit_definition=definition))
    stream.authorize()
    stream.sign({STRETCHING: 30}, note="physical", credential=PT)
    stream.sign({CARDIO: 30}, note="occupational", credential=OT)
    assert stream.used()[:2] == (visits, 4)
    stream.correct("physical", {STRETCHING: 0})
    assert stream.used()[:2] == (1, 2), "the other one is a visit still"
    stream.correct("occupational", {CARDIO: 0})
    assert stream.used()[:2] == (0, 0)


def test_a_day_that_counts_already_is_covered_though_no_visit_is_left() -> None:
    stream = Stream()
    stream.authorize(visits=1)
    stream.sign({STRETCHING: 30}, note="physical", credential=PT)
    assert stream.sign({CARDIO: 30}, note="occupational", credential=OT).used_units == {"C": 2}
    tomorrow = stream.sign({STRETCHING: 30}, note="next", day=DAY + timedelta(days=1))
    assert tomorrow.used_units == {}
    assert stream.used()[:2] == (1, 4)


def test_of_a_days_sessions_no_more_are_covered_than_visits_are_left() -> None:
    stream = Stream(payer_rules(visit_definition=VisitDefinition.SESSION))
    stream.authorize(visits=1)
    stream.sign({STRETCHING: 30}, note="first")
    assert stream.sign({STRETCHING: 30}, note="second").used_units == {"S": 2}
    assert stream.used()[:2] == (1, 2)
    session = str(named("session of first"))
    assert stream.visit_of("second").counts_as == (session,), "the one that was counted before"


def test_a_day_under_eight_minutes_uses_no_visit() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 7})
    assert stream.used() == (0, 0, 0, 0)


def test_of_two_authorizations_the_first_in_order_is_used_and_stays_so() -> None:
    stream = Stream()
    stream.authorize("first", number="A-1", ends_on=date(2026, 4, 30))
    stream.authorize("second", number="A-2", ends_on=date(2026, 5, 31))
    stream.sign({STRETCHING: 30}, note="one")
    assert (stream.used("first")[:2], stream.used("second")[:2]) == ((1, 2), (0, 0))
    stream.authorize("earlier", number="A-0", ends_on=date(2026, 3, 31))
    stream.sign({STRETCHING: 30}, note="two")
    assert (stream.used("first")[:2], stream.used("earlier")[:2]) == ((1, 4), (0, 0))


def test_a_line_gives_no_more_than_it_has_left_whatever_is_left_in_all() -> None:
    stream = Stream()
    stream.authorize(units=20, lines=lines(S=3, C=None))
    stream.sign({STRETCHING: 30}, note="one")
    second = stream.sign({STRETCHING: 30}, note="two", day=DAY + timedelta(days=1))
    assert second.used_units == {"S": 1}
    assert stream.used()[1] == 3


def test_an_untimed_service_needs_no_minutes_of_those_authorized() -> None:
    codes = {(STRETCHING, PT): "S", (TALK, PT): "E"}
    stream = Stream(payer_rules(codes=codes, untimed=frozenset({"E"})))
    stream.authorize(minutes=15)
    assert stream.sign({STRETCHING: 15, TALK: 20}).used_units == {"S": 1, "E": 1}


def test_minutes_that_were_reduced_take_back_no_unit_that_a_person_chose() -> None:
    """8 + 8 + 22 minutes earn three units; two are left, and go to the short ones."""
    stream = Stream()
    authorization = stream.authorize(units=2, minutes=60)
    stream.sign({STRETCHING: 8, CARDIO: 8, STRENGTH: 22})
    assert choose(stream, "note", S=1, C=1).used_units == {"C": 1, "S": 1}
    reduced = terms(units=2, minutes=16)
    stream.add(AuthorizationAmended(authorization_id=authorization, terms=reduced, reason="less"))
    (again,) = stream.correct("note", {STRETCHING: 9, CARDIO: 8, STRENGTH: 22})
    assert again.used_units == {"C": 1, "S": 1}


def test_what_covers_the_day_is_tried_before_what_ended_long_ago() -> None:
    stream = Stream()
    first, last = date(2026, 1, 1), date(2026, 1, 31)
    stream.authorize("past", number="A-0", starts_on=first, ends_on=last)
    stream.authorize("now", units=2)
    stream.sign({STRETCHING: 30}, note="one")
    short = stream.sign({STRETCHING: 30}, note="two", day=DAY + timedelta(days=1))
    assert short.authorization_id == named("now")
    assert short.uncovered_reasons == (UncoveredReason.NO_UNITS_LEFT,)


@pytest.mark.parametrize("day", [date(2026, 3, 1), date(2026, 5, 31)])
def test_an_authorization_may_end_on_its_first_and_on_its_last_day(day: date) -> None:
    stream = Stream()
    authorization = stream.authorize()
    (made,) = end_authorization(stream.authorization_balance, authorization, day, "moved away")
    assert getattr(made, "ends_on", None) == day


def test_a_visit_stays_with_the_session_that_it_was_used_for() -> None:
    """Also where one that was signed before it earns something only by a correction."""
    stream = Stream(payer_rules(visit_definition=VisitDefinition.SESSION))
    stream.authorize(visits=1)
    stream.sign({TALK: 30}, note="one")
    stream.sign({STRETCHING: 30}, note="two")
    used = (str(named("session of two")),)
    assert stream.visit_of("two").counts_as == used
    stream.correct("one", {STRETCHING: 30})
    assert stream.visit_of("two").counts_as == used
    assert stream.used()[:2] == (1, 2)


def test_no_more_minutes_are_held_for_a_choice_than_are_authorized() -> None:
    """20 + 20 minutes: 30 are used, 8 of the 10 that the third unit may draw are left."""
    stream = Stream()
    stream.authorize(minutes=38)
    visit = stream.sign({STRETCHING: 20, CARDIO: 20})
    assert visit.undecided is not None
    assert (visit.used_minutes, visit.reserved_minutes) == (30, 8)


@pytest.mark.parametrize(
    ("chosen", "used", "asked_again"),
    [({"C": 1}, {"S": 1, "C": 1}, False), ({"S": 1}, {"S": 1}, True)],
)
def test_a_choice_that_is_open_no_more_is_asked_for_again(
    chosen: dict[str, int], used: dict[str, int], *, asked_again: bool
) -> None:
    """The line of a code was used up by another visit since."""
    equal = UndecidedReason.EQUAL_REMAINDERS
    among = UndecidedUnits(units=1, max_by_code={"C": 1, "S": 1}, undecided_reason=equal)
    now = UndecidedUnits(units=1, max_by_code={"C": 1}, undecided_reason=equal)
    found = with_override(Allocation({"S": 1}, now), among, chosen)
    assert (found.used_units, found.undecided is not None) == (used, asked_again)
