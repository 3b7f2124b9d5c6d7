"""Ruling 59 over HTTP: rates and yearly thresholds of a payer, and what shows them."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from billing.authorizations.models import Visit
from practice.audit.rebuild import compare
from tests.billing.test_api_summaries import erase
from tests.billing.world import World
from tests.builders import ok, refused

pytestmark = pytest.mark.django_db

SOURCE = "contract of 2026-01-04"
RATES = [{"code": "STR15", "amount": "31.25", "source": SOURCE}]


@pytest.fixture
def world(db: None) -> World:
    return World()


def change(world: World, **rules: Any) -> Any:
    body = {"in_force_from": "2026-01-01", **rules}
    return world.billing.patch(f"payers/{world.payer.pk}", body, match=world.payer_revision())


def yearly(value: str, **more: Any) -> list[dict[str, Any]]:
    return [{"measure": "amount", "value": value, "source": SOURCE, **more}]


def test_a_visit_shows_what_the_payer_is_expected_to_pay(world: World) -> None:
    changed = ok(change(world, rates=RATES))
    assert (changed["currency"], changed["rates"]) == ("USD", RATES)
    world.authorize()
    world.sign(0)
    world.sign(1, stretching=15, cardio=15)
    world.sign(120)
    late, partly, whole = world.visits()
    assert whole["expected_amount"] == {
        "currency": "USD",
        "total": "62.50",
        "by_code": {"STR15": "62.50"},
        "codes_without_rate": [],
    }
    assert partly["expected_amount"]["total"] is None
    assert partly["expected_amount"]["codes_without_rate"] == ["CAR15"]
    assert late["expected_amount"] is None
    assert compare().differences == []
    erase(world)
    assert set(Visit.objects.values_list("expected_amount", flat=True)) == {None}
    assert compare().differences == []


def test_a_rate_changed_on_the_8th_leaves_the_7th_as_it_was(world: World) -> None:
    ok(change(world, rates=RATES))
    new = [{**RATES[0], "amount": "33"}]
    changed = ok(change(world, rates=new, in_force_from="2026-03-08"))
    assert [one["rates"] for one in changed["past_rules"]] == [[], RATES]
    assert changed["rates"][0]["amount"] == "33.00"
    world.authorize()
    world.sign(5)
    world.sign(6)
    totals = [one["expected_amount"]["total"] for one in world.visits()]
    assert totals == ["66.00", "62.50"]


def test_a_rate_that_was_missing_is_put_right_in_the_act_of_corrections(world: World) -> None:
    world.authorize()
    world.sign(0)
    assert world.visits()[0]["expected_amount"]["total"] is None
    ok(change(world, rates=RATES))
    assert world.visits()[0]["expected_amount"]["total"] is None
    path = f"payers/{world.payer.pk}/corrections"
    shown = ok(world.billing.get(path))
    (one,) = shown["visits"]
    assert one["before"]["expected_amount"]["total"] is None
    assert one["after"]["expected_amount"]["total"] == "62.50"
    ok(world.billing.post(path, {"version": shown["version"], "reason": "contract found"}))
    assert world.visits()[0]["expected_amount"]["total"] == "62.50"


@pytest.mark.parametrize(
    "rules",
    [
        {"rates": [{**RATES[0], "amount": 31.25}]},
        {"rates": [{**RATES[0], "amount": "0.00"}]},
        {"rates": [{**RATES[0], "amount": "-1"}]},
        {"rates": [{**RATES[0], "amount": "1e3"}]},
        {"rates": [{**RATES[0], "amount": "31.255"}]},
        {"rates": [{**RATES[0], "amount": "NaN"}]},
        {"rates": [{**RATES[0], "code": "NONE"}]},
        {"rates": RATES * 2},
        {"rates": [{"code": "STR15", "amount": "31.25"}]},
        {"currency": "XYZ1"},
        {"currency": "usd"},
        {"yearly_thresholds": yearly("100.00", codes=["NONE"])},
        {"yearly_thresholds": yearly("100.00") * 2},
        {"yearly_thresholds": yearly("1.50", measure="units")},
        {"yearly_thresholds": [{"measure": "amount", "value": "100.00"}]},
    ],
)
def test_rates_and_thresholds_that_cannot_be_are_refused(
    world: World, rules: dict[str, Any]
) -> None:
    refused(change(world, **rules), 400, "invalid")


def test_visit_and_authorization_warn_before_and_at_the_crossing(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    today = "billing.authorizations.selectors.naming.practice_today"
    monkeypatch.setattr(today, lambda: date(2026, 6, 1))
    ok(change(world, rates=RATES, yearly_thresholds=yearly("150.00")))
    made = world.authorize()
    assert made["yearly_thresholds"][0]["used"] == "0.00"
    for day in range(3):
        world.sign(day)
    third, second, first = world.visits()
    assert [one["yearly_thresholds"][0]["used"] for one in (first, second, third)] == [
        "62.50",
        "125.00",
        "187.50",
    ]
    assert [[w["code"] for w in one["warnings"]] for one in (first, second, third)] == [
        [],
        ["yearly_threshold_near"],
        ["yearly_threshold_crossed"],
    ]
    year = third["yearly_thresholds"][0]
    assert (year["year"], year["value"], year["state"]) == (2026, "150.00", "crossed")
    assert (year["measure"], year["currency"], year["source"]) == ("amount", "USD", SOURCE)
    now = ok(world.desk.get(f"authorizations/{made['id']}"))
    assert now["yearly_thresholds"] == [year]
    assert [one["code"] for one in now["warnings"]] == ["yearly_threshold_crossed"]
    assert "contract of 2026-01-04" in now["warnings"][0]["text"]
    monkeypatch.setattr(today, lambda: date(2027, 1, 1))
    (next_year,) = ok(world.desk.get(f"authorizations/{made['id']}"))["yearly_thresholds"]
    assert (next_year["year"], next_year["used"]) == (2027, "0.00")


def test_another_clients_visits_do_not_count(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    today = "billing.authorizations.selectors.naming.practice_today"
    monkeypatch.setattr(today, lambda: date(2026, 6, 1))
    ok(change(world, yearly_thresholds=yearly("3", measure="units")))
    world.authorize()
    world.sign(0)
    world.client_id = world.register(world.built.east.pk)
    world.authorize(number="PA-2")
    world.sign(1)
    assert [one["yearly_thresholds"][0]["used"] for one in world.visits()] == ["2", "2"]
    shown = ok(world.desk.get("authorizations"))["results"]
    assert [one["yearly_thresholds"][0]["used"] for one in shown] == ["2", "2"]


def test_a_threshold_ended_later_still_holds_for_the_day_of_the_visit(world: World) -> None:
    ok(change(world, yearly_thresholds=yearly("3", measure="units")))
    ok(change(world, yearly_thresholds=[], in_force_from="2026-03-03"))
    world.authorize()
    world.sign(0)
    world.sign(1)
    assert [len(one["yearly_thresholds"]) for one in world.visits()] == [0, 1]
