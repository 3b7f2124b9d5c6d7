"""Rulings 59 and 60 over HTTP: visits that would be covered now, visits given back, and use that
an amended or ended period left outside."""

from __future__ import annotations

from typing import Any

import pytest

from billing.authorizations.models import Visit
from practice.accesslog.models import AccessEntry
from practice.audit.rebuild import compare
from tests.billing.test_api_summaries import erase
from tests.billing.world import World
from tests.builders import NOBODY_KNOWS, ok, refused

pytestmark = pytest.mark.django_db

PATH = "coverable-visits"


@pytest.fixture
def world(db: None) -> World:
    return World()


def listed(world: World, **query: Any) -> dict[str, Any]:
    found: dict[str, Any] = ok(world.billing.get(PATH, query))
    return found


def cover(world: World, shown: dict[str, Any], key: str = "k", **given: Any) -> Any:
    body = {"version": shown["version"], "reason": "recorded late", **given}
    return world.billing.post(PATH, body, key=key)


def test_recording_and_extending_say_how_many_visits_would_be_covered(world: World) -> None:
    for day in range(3):
        world.sign(day)
    made = world.authorize(visits=1)
    assert made["coverable_visits"] == 1
    later = world.authorize(number="PA-2", ends_on="2026-06-30")
    assert later["coverable_visits"] == 2
    later_path = f"authorizations/{later['id']}/voiding"
    ok(world.desk.post(later_path, {"reason": "wrong client"}))
    path = f"authorizations/{made['id']}"
    assert "coverable_visits" not in ok(world.billing.get(path))
    longer = ok(world.desk.patch(path, {"visits": 2, "reason": "letter"}))
    assert longer["coverable_visits"] == 2
    end = {"ends_on": "2026-03-02", "reason": "change"}
    assert ok(world.desk.post(f"{path}/ending", end))["coverable_visits"] == 1
    reopened = ok(world.desk.post(f"{path}/reopening", {"reason": "by mistake"}))
    assert reopened["coverable_visits"] == 2
    voided = ok(world.desk.post(f"{path}/voiding", {"reason": "wrong client"}))
    assert voided["coverable_visits"] == 0


def test_the_list_says_what_each_visit_would_take_and_what_is_left(world: World) -> None:
    world.sign(0, stretching=30)
    world.sign(1, stretching=20, cardio=20)
    made = world.authorize(units=5, minutes=None)
    before = AccessEntry.objects.count()
    shown = listed(world)
    assert AccessEntry.objects.count() == before + 1
    first, second = shown["visits"]
    assert (first["local_date"], first["covered"]) == ("2026-03-02", "not_covered")
    assert first["uncovered_reasons"] == ["no_authorization"]
    assert (first["authorization_id"], first["authorization_number"]) == (made["id"], "PA-417")
    assert (first["visits"], first["units"], first["minutes"]) == (1, {"STR15": 2}, 30)
    assert (second["units"], second["undecided_units"]) == ({"STR15": 1, "CAR15": 1}, 1)
    assert (first["covered_then"], first["uncovered_reasons_then"]) == ("covered", [])
    (left,) = shown["left"]
    assert (left["visits_left"], left["units_left"], left["minutes_left"]) == (8, 0, None)
    assert Visit.objects.exclude(covered="not_covered").count() == 0


def test_one_act_covers_all_of_an_authorization_as_shown(world: World) -> None:
    world.sign(0)
    first, world.client_id = world.client_id, world.register(world.built.east.pk)
    world.sign(1)
    for client_id in (world.client_id, first):
        world.client_id = client_id
        made = world.authorize()
    assert len(listed(world)["visits"]) == 2
    mine = {"authorization_id": made["id"]}
    shown = listed(world, **mine)
    assert [one["client_id"] for one in shown["visits"]] == [str(first)]
    body = {"version": shown["version"], "reason": "x", **mine}
    refused(world.billing.post(PATH, body), 400, "idempotency_key_required")
    refused(cover(world, shown), 400, "invalid")
    refused(cover(world, {"version": "0" * 64}, **mine), 409, "changes_moved_on")
    after = [{**one, "covered": "covered", "uncovered_reasons": []} for one in shown["visits"]]
    assert ok(cover(world, shown, **mine)) == {**shown, "visits": after}
    assert ok(cover(world, shown, **mine))["visits"] == after  # the key's answer, again
    assert Visit.objects.filter(covered="covered").count() == 1
    refused(cover(world, shown, key="other", **mine), 409, "nothing_to_cover")
    both = {"visit_ids": [one["visit_id"] for one in listed(world)["visits"]]}
    rest = listed(world, visit_ids=",".join(both["visit_ids"]))
    ok(cover(world, rest, key="third", **both))
    assert Visit.objects.filter(covered="covered").count() == 2
    assert compare().differences == []
    texts = ok(world.owner.get(f"clients/{first}/history"))["results"]
    assert any("recorded late" in one["text"] for one in texts)


def test_two_clients_visits_are_covered_in_one_act(world: World) -> None:
    for day in range(2):
        world.client_id = world.register(world.built.east.pk)
        world.sign(day)
        world.authorize(number=f"PA-{day}")
    ids = [one["visit_id"] for one in listed(world)["visits"]]
    shown = listed(world, visit_ids=",".join(ids))
    assert len(ok(cover(world, shown, visit_ids=ids))["visits"]) == 2
    assert Visit.objects.filter(covered="covered").count() == 2


@pytest.mark.parametrize(
    ("query", "count"),
    [
        ({"from": "2026-03-03"}, 1),
        ({"to": "2026-03-01"}, 0),
        ({"client_id": str(NOBODY_KNOWS)}, 0),
        ({"payer_id": str(NOBODY_KNOWS)}, 0),
        ({"authorization_id": str(NOBODY_KNOWS)}, 0),
        ({"visit_ids": str(NOBODY_KNOWS)}, 0),
    ],
)
def test_the_list_is_filtered(world: World, query: dict[str, str], count: int) -> None:
    world.sign(0)
    world.sign(1)
    world.authorize()
    assert len(listed(world)["visits"]) == 2
    assert len(listed(world, **query)["visits"]) == count


def test_more_visits_than_one_act_takes_are_asked_for_in_fewer_days(world: World) -> None:
    world.sign(0)
    world.sign(1)
    world.authorize()
    (setting,) = [
        one
        for one in ok(world.owner.get("settings"))["results"]
        if one["key"] == "recalculated_visits"
    ]
    value = {"value": 1, "citation": "practice policy"}
    ok(world.owner.patch(f"settings/{setting['id']}", value, match=setting["revision"]))
    refused(world.billing.get(PATH), 409, "too_many_visits")
    assert len(listed(world, **{"from": "2026-03-03"})["visits"]) == 1


def test_a_visit_is_given_back_and_covered_again_by_an_act(world: World) -> None:
    made = world.authorize()
    world.sign(0)
    (visit,) = world.visits()
    path = f"visits/{visit['id']}/giving-back"
    refused(world.billing.post(path, {}), 400, "invalid")
    refused(
        world.billing.post(f"visits/{NOBODY_KNOWS}/giving-back", {"reason": "x"}), 404, "not_found"
    )
    refused(world.billing.post(path, {"reason": "x"}, match=99), 412, "stale_version")
    back = ok(world.billing.post(path, {"reason": "billed to another"}))
    assert (back["covered"], back["used_units"]) == ("not_covered", {})
    assert [one["code"] for one in back["reasons"]] == ["given_back"]
    path_of = f"authorizations/{made['id']}"
    assert ok(world.billing.get(path_of))["units_used"] == 0
    assert len(world.visits(reason="given_back", covered="not_covered")) == 1
    refused(world.billing.post(path, {"reason": "again"}), 409, "nothing_to_give_back")
    assert listed(world)["visits"] == []
    amended = ok(world.desk.patch(path_of, {"visits": 20, "reason": "more"}))
    assert amended["coverable_visits"] == 0
    shown = listed(world, given_back="true", client_id=str(world.client_id))
    assert [one["given_back"] for one in shown["visits"]] == [True]
    mine = str(world.client_id)
    ok(cover(world, shown, given_back=True, client_id=mine))
    assert ok(world.billing.get(path_of))["units_used"] == 2
    assert compare().differences == []


def test_use_left_outside_an_ended_or_amended_period_waits_on_a_list(world: World) -> None:
    made = world.authorize()
    for day in range(3):  # 2, 3 and 4 March
        world.sign(day)
    path = f"authorizations/{made['id']}"
    assert world.visits(outside_period="true") == []
    ok(world.desk.post(f"{path}/ending", {"ends_on": "2026-03-03", "reason": "change"}))
    (late,) = world.visits(outside_period="true")
    assert late["local_date"] == "2026-03-04"
    assert [one["code"] for one in late["warnings"]] == ["used_after_end"]
    assert "give the visit back" in late["warnings"][0]["text"]
    assert len(world.visits(outside_period="false")) == 2
    ok(world.billing.post(f"visits/{late['id']}/giving-back", {"reason": "ended"}))
    assert world.visits(outside_period="true") == []
    ok(world.desk.post(f"{path}/reopening", {"reason": "by mistake"}))
    ok(world.desk.patch(path, {"starts_on": "2026-03-03", "reason": "letter"}))
    (early,) = world.visits(outside_period="true")
    assert [one["code"] for one in early["warnings"]] == ["used_before_start"]
    ok(world.desk.patch(path, {"starts_on": "2026-03-02", "reason": "letter"}))
    assert world.visits(outside_period="true") == []


@pytest.mark.parametrize(
    ("starts_on", "ends_on", "count"),
    [
        ("2026-03-02", "2026-03-02", 1),
        ("2026-03-03", "2026-03-09", 0),
        ("2026-02-01", "2026-03-01", 0),
    ],
)
def test_both_days_of_a_period_count(
    world: World, starts_on: str, ends_on: str, count: int
) -> None:
    world.sign(0)
    made = world.authorize(starts_on=starts_on, ends_on=ends_on)
    assert made["coverable_visits"] == count
    assert len(listed(world)["visits"]) == count


def test_visits_of_an_erased_record_or_a_voided_authorization_are_not_on_the_list(
    world: World,
) -> None:
    world.sign(0)
    made = world.authorize()
    first, world.client_id = world.client_id, world.register(world.built.east.pk)
    world.sign(1)
    voided = world.authorize(number="PA-2")
    void = {"reason": "wrong client"}
    ok(world.desk.post(f"authorizations/{voided['id']}/voiding", void))
    assert [one["client_id"] for one in listed(world)["visits"]] == [str(first)]
    world.client_id = first
    erase(world)
    assert listed(world)["visits"] == []
    assert listed(world, authorization_id=made["id"])["visits"] == []


def test_a_request_names_so_many_visits_and_no_more(world: World) -> None:
    ids = ",".join([str(NOBODY_KNOWS)] * 100)
    assert listed(world, visit_ids=ids)["visits"] == []
    refused(world.billing.get(PATH, {"visit_ids": f"{ids},{NOBODY_KNOWS}"}), 400, "invalid")
    body = {"version": "0" * 64, "reason": "x", "visit_ids": [str(NOBODY_KNOWS)] * 101}
    refused(world.billing.post(PATH, body, key="k"), 400, "invalid")
