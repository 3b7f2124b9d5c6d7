"""Ruling 60: an authorization entered in error is voided; what it gave goes back."""

from __future__ import annotations

from datetime import date

import pytest

from billing.visits.domain.overrides import override_authorization
from billing.visits.domain.voiding import void_authorization
from practice.audit.rebuild import compare
from practice.core.reasons import Rejected
from tests.billing.streams import STRETCHING, Stream, named
from tests.billing.test_api_summaries import erase
from tests.billing.world import World
from tests.builders import ok, refused


def void(stream: Stream, name: str = "authorization") -> None:
    balance = stream.authorization_balance
    stream.add(*void_authorization(balance, named(name), stream.payers, "wrong client"))


def test_what_visits_used_goes_back_and_the_next_authorization_gives_it() -> None:
    stream = Stream()
    stream.authorize()
    stream.authorize("second", number="A-2", visits=1, ends_on=date(2026, 6, 30))
    for day in (9, 2):
        stream.sign({STRETCHING: 30}, note=f"on {day}", day=date(2026, 3, day))
    void(stream)
    assert stream.used() == (0, 0, 0, 0)
    assert stream.used("second") == (1, 2, 0, 30)
    assert stream.visit_of("on 2").authorization_id == named("second")
    assert stream.visit_of("on 9").used_units == {}


def test_a_voided_authorization_is_void_for_good_and_its_number_is_free() -> None:
    stream = Stream()
    stream.authorize()
    void(stream)
    before = len(stream.events)
    void(stream)
    assert len(stream.events) == before
    with pytest.raises(Rejected) as refused_:
        stream.authorization_balance.authorization(named("authorization"))
    assert refused_.value.code == "authorization_voided"
    stream.authorize("right")
    assert stream.sign({STRETCHING: 30}).authorization_id == named("right")


def test_a_visit_for_which_a_person_named_it_is_calculated_without_it() -> None:
    stream = Stream()
    stream.authorize()
    stream.authorize("second", number="A-2")
    visit = stream.sign({STRETCHING: 30})
    balance = stream.authorization_balance
    stream.add(
        *override_authorization(balance, visit.visit_id, named("second"), stream.payers, "asked")
    )
    void(stream, "second")
    assert stream.visit_of("note").authorization_id == named("authorization")
    assert not stream.visit_of("note").chosen_by_person


@pytest.mark.django_db
def test_voiding_over_http_gives_the_visits_back_and_says_so() -> None:
    world = World()
    made = world.authorize()
    world.sign(0)
    path = f"authorizations/{made['id']}"
    refused(world.desk.post(f"{path}/voiding", {}), 400, "invalid")
    voided = ok(world.desk.post(f"{path}/voiding", {"reason": "entered for another client"}))
    assert voided["voided_at"]
    assert (voided["visits_used"], voided["units_used"]) == (0, 0)
    (visit,) = world.visits(covered="not_covered")
    assert [one["code"] for one in visit["reasons"]] == ["no_authorization"]
    for state, count in (("open", 0), ("past", 0), ("voided", 1)):
        found = ok(world.desk.get("authorizations", {"state": state}))["results"]
        assert len(found) == count
    end = {"ends_on": "2026-03-31", "reason": "x"}
    refused(world.desk.post(f"{path}/ending", end), 409, "authorization_voided")
    assert world.authorize()["number"] == made["number"]
    assert compare().differences == []
    erase(world)
    refused(world.billing.get(path), 404, "not_found")
    assert compare().differences == []


@pytest.mark.django_db
def test_use_that_an_amendment_leaves_outside_the_period_is_named_in_the_answer() -> None:
    world = World()
    made = world.authorize()
    world.sign(0)
    body = {"starts_on": "2026-03-02", "reason": "letter"}
    same = ok(world.desk.patch(f"authorizations/{made['id']}", body))
    assert (same["used_before_start"], same["warnings"]) == ([], [])
    body = {"starts_on": "2026-03-03", "reason": "letter"}
    later = ok(world.desk.patch(f"authorizations/{made['id']}", body))
    assert later["used_before_start"] == ["2026-03-02"]
    assert [one["code"] for one in later["warnings"]] == ["used_before_start"]


@pytest.mark.django_db
def test_one_number_of_two_clients_is_a_warning() -> None:
    world = World()
    first = world.authorize()
    assert first["warnings"] == []
    world.client_id = world.register(world.built.east.pk)
    second = world.authorize()
    assert [one["code"] for one in second["warnings"]] == ["number_of_another_client"]
    path = f"authorizations/{second['id']}/voiding"
    assert ok(world.desk.post(path, {"reason": "wrong client"}))["warnings"] == []
    assert ok(world.desk.get(f"authorizations/{first['id']}"))["warnings"] == []
