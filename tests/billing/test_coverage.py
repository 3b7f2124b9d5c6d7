"""Rulings 39 and 59: visits that would be covered now are a list and one act; a visit can be
given back."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from billing.authorizations.domain.events import (
    AuthorizationAmended,
    VisitCoveredLater,
    VisitGivenBack,
)
from billing.authorizations.domain.terms import CoverageStatus, UncoveredReason
from billing.visits.domain.coverage import (
    CoverableVisits,
    CoverSelection,
    cover_visits,
    coverable_visits,
    give_visit_back,
)
from billing.visits.domain.entered_in_error import without_session
from billing.visits.domain.overrides import override_authorization
from billing.visits.domain.rule_corrections import CorrectedPeriod, corrected_visits
from practice.core.reasons import Rejected
from sessions.calendar.domain.events import SessionEnteredInError
from tests.billing.streams import (
    CARDIO,
    DAY,
    OT,
    STRETCHING,
    TRAINER,
    Stream,
    named,
    payer_rules,
    terms,
)


def shown(stream: Stream, **selection: Any) -> CoverableVisits:
    chosen = CoverSelection(**selection)
    return coverable_visits(stream.authorization_balance, chosen, stream.payers)


def days(found: CoverableVisits) -> list[int]:
    return [one.after.local_date.day for one in found.visits]


def give_back(stream: Stream, note: str = "note") -> None:
    balance, visit = stream.authorization_balance, stream.visit_of(note)
    stream.add(*give_visit_back(balance, visit.visit_id, stream.payers, "billed to another"))


def signed_before() -> Stream:
    """Three visits on the 2nd, 3rd and 4th, before any authorization was recorded."""
    stream = Stream()
    for number in (2, 0, 1):
        stream.sign({STRETCHING: 30}, note=f"{number}", day=DAY + timedelta(days=number))
    return stream


def test_an_authorization_recorded_after_its_visits_would_cover_them_in_order() -> None:
    stream = signed_before()
    assert days(shown(stream)) == []
    stream.authorize(units=5)
    found = shown(stream)
    assert days(found) == [2, 3, 4]
    assert [one.after.used_units for one in found.visits] == [{"S": 2}, {"S": 2}, {"S": 1}]
    assert found.visits[2].after.covered is CoverageStatus.PARTLY
    assert stream.used() == (0, 0, 0, 0)  # nothing is covered by itself


def test_no_more_visits_are_shown_than_the_authorization_has_room_for() -> None:
    stream = signed_before()
    stream.authorize(visits=2)
    assert days(shown(stream)) == [2, 3]
    assert shown(stream).balance.used[named("authorization")].visits == 2


def test_the_act_covers_what_was_shown_with_its_reason() -> None:
    stream = signed_before()
    stream.authorize()
    found = shown(stream)
    stream.add(*cover_visits(found.visits, "recorded late"))
    assert stream.used() == (3, 6, 0, 90)
    assert stream.authorization_balance == found.balance
    why = [one.data for one in stream.events if isinstance(one.data, VisitCoveredLater)]
    assert [(one.authorization_id, one.reason) for one in why] == [
        (named("authorization"), "recorded late")
    ] * 3
    assert not stream.visit_of("0").chosen_by_person
    assert days(shown(stream)) == []


@pytest.mark.parametrize(
    ("selection", "expected"),
    [
        ({"first": date(2026, 3, 3)}, [3, 4]),
        ({"last": date(2026, 3, 3)}, [2, 3]),
        ({"payer_id": named("payer")}, [2, 3, 4]),
        ({"payer_id": named("other")}, []),
        ({"authorization_id": named("authorization")}, [2, 3, 4]),
        ({"authorization_id": named("another")}, []),
        ({"visit_ids": frozenset()}, []),
    ],
)
def test_the_list_is_bounded_by_days_payer_and_authorization(
    selection: dict[str, Any], expected: list[int]
) -> None:
    stream = signed_before()
    stream.authorize()
    assert days(shown(stream, **selection)) == expected


def test_chosen_visits_take_what_those_left_out_do_not() -> None:
    stream = signed_before()
    stream.authorize(visits=1)
    assert days(shown(stream)) == [2]
    last = frozenset({stream.visit_of("2").visit_id})
    found = shown(stream, visit_ids=last)
    assert days(found) == [4]
    stream.add(*cover_visits(found.visits, "the last one"))
    assert stream.visit_of("2").covered is CoverageStatus.COVERED
    assert days(shown(stream)) == []


def test_one_authorizations_list_leaves_to_others_what_they_would_cover() -> None:
    """Ruling 37: the earliest end comes first, so the second one gets what the first leaves."""
    stream = signed_before()
    stream.authorize(visits=1)
    stream.authorize("second", number="A-2", ends_on=date(2026, 6, 30))
    first = shown(stream, authorization_id=named("authorization"))
    found = shown(stream, authorization_id=named("second"))
    assert (days(first), days(found)) == ([2], [3, 4])
    stream.add(*cover_visits(found.visits, "second first"))
    assert (stream.used(), stream.used("second")) == ((0, 0, 0, 0), (2, 4, 0, 60))
    stream.add(*cover_visits(shown(stream).visits, "the rest"))
    assert (stream.used(), stream.used("second")) == ((1, 2, 0, 30), (2, 4, 0, 60))


def test_an_extended_authorization_would_cover_the_rest_of_a_visit() -> None:
    stream = Stream()
    authorization = stream.authorize(units=1)
    stream.sign({STRETCHING: 30})
    assert stream.visit_of("note").covered is CoverageStatus.PARTLY
    assert days(shown(stream)) == []
    stream.add(AuthorizationAmended(authorization_id=authorization, terms=terms(), reason="more"))
    found = shown(stream)
    assert [one.after.covered for one in found.visits] == [CoverageStatus.COVERED]
    stream.add(*cover_visits(found.visits, "extended"))
    assert stream.used() == (1, 2, 0, 30)


def test_minutes_that_were_short_are_covered_too_when_more_are_authorized() -> None:
    stream = Stream()
    authorization = stream.authorize(units=None, minutes=20)
    stream.sign({STRETCHING: 30})
    assert stream.visit_of("note").used_minutes == 15
    new = terms(units=None, minutes=60)
    stream.add(AuthorizationAmended(authorization_id=authorization, terms=new, reason="more"))
    assert [one.after.used_minutes for one in shown(stream).visits] == [30]


def test_a_visit_whose_minutes_nobody_pays_is_not_on_the_list() -> None:
    stream = Stream()
    stream.sign({STRETCHING: 30}, credential=TRAINER)
    stream.sign({STRETCHING: 7}, note="short", day=DAY + timedelta(days=1))
    stream.authorize()
    assert days(shown(stream)) == []


def test_a_visit_given_back_frees_what_it_used_and_says_so() -> None:
    stream = Stream()
    stream.authorize(visits=1)
    stream.sign({STRETCHING: 20, CARDIO: 10})
    give_back(stream)
    visit = stream.visit_of("note")
    assert stream.used() == (0, 0, 0, 0)
    assert (visit.covered, visit.given_back) == (CoverageStatus.NOT, True)
    assert visit.uncovered_reasons == (UncoveredReason.GIVEN_BACK,)
    assert {one.uncovered_reason for one in visit.excluded_minutes} == {UncoveredReason.GIVEN_BACK}
    assert sum(one.minutes for one in visit.excluded_minutes) == 30
    assert visit.payer_id == named("payer")
    assert visit.expected_units == {"S": 1, "C": 1}
    (why,) = [one.data for one in stream.events if isinstance(one.data, VisitGivenBack)]
    assert (why.authorization_id, why.reason) == (named("authorization"), "billed to another")
    later = stream.sign({STRETCHING: 30}, note="later", day=DAY + timedelta(days=1))
    assert later.covered is CoverageStatus.COVERED


def test_a_visit_given_back_is_not_covered_again_by_itself() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 30})
    give_back(stream)
    (again,) = stream.correct("note", {STRETCHING: 45})
    assert (again.used_units, again.given_back) == ({}, True)
    assert again.uncovered_reasons == (UncoveredReason.GIVEN_BACK,)
    assert days(shown(stream)) == []
    assert days(shown(stream, given_back=True)) == [2]
    named_ids = frozenset({again.visit_id})
    found = shown(stream, visit_ids=named_ids)
    stream.add(*cover_visits(found.visits, "it was ours"))
    assert (stream.used(), stream.visit_of("note").given_back) == ((1, 3, 0, 45), False)
    (last,) = stream.correct("note", {STRETCHING: 30})
    assert last.used_units == {"S": 2}


def test_naming_an_authorization_covers_a_visit_that_was_given_back() -> None:
    stream = Stream()
    stream.authorize()
    visit = stream.sign({STRETCHING: 30})
    give_back(stream)
    override = override_authorization(
        stream.authorization_balance, visit.visit_id, named("authorization"), stream.payers, "x"
    )
    stream.add(*override)
    assert (stream.used(), stream.visit_of("note").given_back) == ((1, 2, 0, 30), False)


def test_what_a_person_had_named_holds_no_more_once_it_is_given_back() -> None:
    stream = Stream()
    stream.authorize()
    stream.authorize("second", number="A-2")
    visit = stream.sign({STRETCHING: 30})
    override = override_authorization(
        stream.authorization_balance, visit.visit_id, named("second"), stream.payers, "x"
    )
    stream.add(*override)
    give_back(stream)
    assert stream.used("second") == (0, 0, 0, 0)
    assert not stream.visit_of("note").chosen_by_person
    (found,) = shown(stream, given_back=True).visits
    assert found.after.authorization_id == named("authorization")


def test_a_day_that_another_discipline_counted_stays_counted() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 30})
    stream.sign({STRETCHING: 30}, note="other", credential=OT)
    give_back(stream)
    assert stream.used() == (1, 2, 0, 30)
    assert stream.visit_of("note").uncovered_reasons == (UncoveredReason.GIVEN_BACK,)
    assert [one.uncovered_reason for one in stream.visit_of("note").excluded_minutes] == [
        UncoveredReason.GIVEN_BACK
    ]
    give_back(stream, "other")
    assert stream.used() == (0, 0, 0, 0)


def test_units_that_wait_for_a_choice_are_given_back_too() -> None:
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 7, CARDIO: 7})
    assert stream.used() == (1, 0, 1, 0)
    give_back(stream)
    assert stream.used() == (0, 0, 0, 0)


def test_a_visit_that_holds_nothing_has_nothing_to_give_back() -> None:
    stream = Stream(payer_rules())
    stream.authorize()
    stream.sign({STRETCHING: 30})
    give_back(stream)
    with pytest.raises(Rejected) as refused:
        give_back(stream)
    assert refused.value.code == "nothing_to_give_back"
    stream.sign({STRETCHING: 5}, note="short", day=DAY + timedelta(days=1))
    with pytest.raises(Rejected):
        give_back(stream, "short")


def entered_in_error(stream: Stream, note: str) -> None:
    gone = SessionEnteredInError(
        session_id=named(f"session of {note}"), was="completed", reason="another client"
    )
    balance = stream.authorization_balance
    stream.add(*without_session(gone.session_id, balance, stream.payers))


def test_a_day_without_a_session_is_nothing_to_cover_or_correct() -> None:
    """All of its sessions were entered in error; what is signed that day later starts afresh."""
    stream = Stream()
    stream.authorize()
    stream.sign({STRETCHING: 30})
    stream.sign({STRETCHING: 30}, note="kept", day=DAY + timedelta(days=1))
    give_back(stream)
    entered_in_error(stream, "note")
    assert days(shown(stream, given_back=True)) == []
    period = CorrectedPeriod(named("payer"))
    assert corrected_visits(stream.authorization_balance, period, stream.payers) == []
    again = stream.sign({STRETCHING: 30}, note="again")
    assert (again.used_units, again.given_back) == ({"S": 2}, False)
