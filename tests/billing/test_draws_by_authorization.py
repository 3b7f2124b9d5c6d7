"""Several authorizations: which one a visit draws from, and which one is offered instead."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import pytest

from billing.authorizations.domain.events import AuthorizationAmended
from billing.authorizations.domain.terms import CoverageStatus, UncoveredReason
from billing.visits.domain.overrides import override_authorization
from tests.billing.streams import DAY, STRETCHING, Stream, lines, named, terms


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
