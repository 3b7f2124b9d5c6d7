"""Authorizations over HTTP: recorded, read by role, amended, ended, listed."""

from __future__ import annotations

from typing import Any

import pytest

from tests.billing.world import World
from tests.builders import NOBODY_KNOWS, ok, refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return World()


def test_the_desk_records_an_authorization_and_sees_what_is_left(world: World) -> None:
    made = world.authorize(lines=[{"code": "STR15", "units": 12}, {"code": "CAR15"}])
    assert (made["visits_left"], made["units_left"], made["over_used"]) == (10, 20, False)
    assert made["lines"] == [
        {"code": "STR15", "units": 12, "used": 0},
        {"code": "CAR15", "units": None, "used": 0},
    ]
    world.sign(0, stretching=30)
    answer = world.desk.get(f"authorizations/{made['id']}")
    now = ok(answer)
    assert (now["visits_left"], now["units_left"], now["lines"][0]["used"]) == (9, 18, 2)
    assert answer["ETag"].strip('"').isdigit()


def test_diagnoses_are_written_by_billing_and_read_by_billing_and_practitioners(
    world: World,
) -> None:
    path = f"clients/{world.client_id}/authorizations"
    body = world.body(diagnoses=["M25.611"])
    for api in (world.desk, world.owner):
        problem = refused(api.post(path, body), 403, "field_not_yours")
        assert problem["errors"][0]["field"] == "diagnoses"
    made = world.authorize(world.billing, diagnoses=["M25.611"])
    for api, reads in (
        (world.billing, True),
        (world.paula, True),
        (world.desk, False),
        (world.owner, False),
    ):
        one = ok(api.get(f"authorizations/{made['id']}"))
        (listed,) = ok(api.get(path))["results"]
        for shown in (one, listed):
            assert shown.get("diagnoses") == (["M25.611"] if reads else None)
            assert ("diagnoses" in shown) == reads
    patched = ok(world.desk.patch(f"authorizations/{made['id']}", {"visits": 12, "reason": "more"}))
    assert "diagnoses" not in patched
    assert ok(world.billing.get(f"authorizations/{made['id']}"))["diagnoses"] == ["M25.611"]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"ends_on": "2026-02-01"}, "ends_on"),
        ({"visits": None, "units": None}, "visits"),
        ({"visits": 0}, "visits"),
        ({"visits": "ten"}, "visits"),
        ({"units": 1.5}, "units"),
        ({"starts_on": "2026-02-30"}, "starts_on"),
        ({"starts_on": "0026-03-01"}, "starts_on"),
        ({"lines": [{"code": "NONE"}]}, "lines"),
        ({"lines": [{"code": "STR15"}, {"code": "STR15"}]}, "lines"),
        ({"practitioners": [str(NOBODY_KNOWS)]}, "practitioners"),
        ({"payer_id": str(NOBODY_KNOWS)}, "payer_id"),
        ({"payer_id": "x"}, "payer_id"),
        ({"number": ""}, "number"),
        ({"order": 0}, "order"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_what_cannot_be_is_refused_with_the_field(world: World, changes: Any, field: str) -> None:
    answer = world.desk.post(f"clients/{world.client_id}/authorizations", world.body(**changes))
    problem = refused(answer, 400, "invalid")
    assert field in [one["field"] for one in problem["errors"]]


def test_a_diagnosis_that_is_no_code_is_refused(world: World) -> None:
    answer = world.billing.post(
        f"clients/{world.client_id}/authorizations", world.body(diagnoses=["shoulder"])
    )
    assert refused(answer, 400, "invalid")["errors"][0]["field"] == "diagnoses"


def test_the_same_number_of_one_payer_is_refused(world: World) -> None:
    made = world.authorize()
    answer = world.billing.post(f"clients/{world.client_id}/authorizations", world.body())
    problem = refused(answer, 409, "authorization_number_taken")
    assert problem["authorization_id"] == made["id"]


def test_an_amendment_keeps_the_rest_and_a_stale_one_is_refused(world: World) -> None:
    made = world.authorize()
    path = f"authorizations/{made['id']}"
    version = int(world.desk.get(path)["ETag"].strip('"'))
    changed = ok(world.desk.patch(path, {"visits": 20, "reason": "extended"}, match=version))
    assert (changed["visits_authorized"], changed["units_authorized"]) == (20, 20)
    answer = world.desk.patch(path, {"visits": 30, "reason": "again"}, match=version)
    refused(answer, 412, "stale_version")


def test_something_else_in_the_record_does_not_make_an_authorization_stale(world: World) -> None:
    made = world.authorize()
    path = f"authorizations/{made['id']}"
    version = int(world.desk.get(path)["ETag"].strip('"'))
    world.authorize(number="PA-418")
    ok(world.desk.patch(path, {"visits": 20, "reason": "extended"}, match=version))


def test_an_amendment_without_a_reason_is_refused(world: World) -> None:
    made = world.authorize()
    answer = world.desk.patch(f"authorizations/{made['id']}", {"visits": 20})
    assert refused(answer, 400, "invalid")["errors"][0]["field"] == "reason"


def test_reduced_below_what_was_drawn_it_is_shown_as_over_used(world: World) -> None:
    made = world.authorize()
    for day in range(3):
        world.sign(day)
    now = ok(
        world.billing.patch(f"authorizations/{made['id']}", {"visits": 2, "reason": "reduced"})
    )
    assert (now["visits_used"], now["visits_left"], now["over_used"]) == (3, -1, True)
    (listed,) = ok(world.billing.get("authorizations", {"over_used": "true"}))["results"]
    assert listed["id"] == made["id"]


def test_an_ending_sets_the_last_day(world: World) -> None:
    made = world.authorize()
    path = f"authorizations/{made['id']}/ending"
    body = {"ends_on": "2026-03-31", "reason": "change of payer"}
    ended = ok(world.desk.post(path, body))
    assert (ended["ended_on"], ended["last_day"], ended["ends_on"]) == (
        "2026-03-31",
        "2026-03-31",
        "2026-05-31",
    )
    assert ok(world.desk.post(path, body)) == ended
    later = {**body, "ends_on": "2026-04-30"}
    refused(world.desk.post(path, later), 409, "authorization_ended")
    outside = world.authorize(number="PA-418")
    answer = world.desk.post(
        f"authorizations/{outside['id']}/ending", {**body, "ends_on": "2026-07-01"}
    )
    assert refused(answer, 400, "invalid")["errors"][0]["field"] == "ends_on"


def test_lists_are_filtered_strictly(world: World) -> None:
    old = world.authorize(number="OLD", starts_on="2020-01-01", ends_on="2020-12-31")
    now = world.authorize(number="NOW", starts_on="2020-01-01", ends_on="2190-12-31")
    few = world.authorize(number="FEW", starts_on="2020-01-01", ends_on="2190-12-31", visits=2)
    far = world.authorize(number="FAR", starts_on="2190-01-01", ends_on="2190-12-31")

    def numbers(**query: Any) -> set[str]:
        found = ok(world.billing.get("authorizations", query))["results"]
        return {one["number"] for one in found}

    assert numbers() == {one["number"] for one in (old, now, few, far)}
    assert numbers(state="past") == {"OLD"}
    assert numbers(state="open") == {"NOW", "FEW"}
    assert numbers(state="upcoming") == {"FAR"}
    assert numbers(state="ended") == set()
    assert numbers(running_out="true") == {"FEW"}
    assert numbers(running_out="false") == {"OLD", "NOW", "FAR"}
    assert numbers(ends_before="2021-01-01") == {"OLD"}
    assert numbers(payer_id=str(world.payer.pk)) == numbers()
    assert numbers(client_id=str(NOBODY_KNOWS)) == set()
    for query, code in (
        ({"colour": "red"}, "unknown_parameter"),
        ({"state": "late"}, "invalid"),
        ({"ends_before": "soon"}, "invalid"),
        ({"payer_id": "x"}, "invalid"),
    ):
        refused(world.billing.get("authorizations", query), 400, code)


def test_unknown_ids_are_not_found(world: World) -> None:
    for path in ("", "/visits"):
        refused(world.billing.get(f"authorizations/{NOBODY_KNOWS}{path}"), 404, "not_found")
    body = {"visits": 1, "reason": "x"}
    refused(world.billing.patch(f"authorizations/{NOBODY_KNOWS}", body), 404, "not_found")
    ending = {"ends_on": "2026-04-01", "reason": "x"}
    answer = world.billing.post(f"authorizations/{NOBODY_KNOWS}/ending", ending)
    refused(answer, 404, "not_found")


def test_the_desk_sees_the_authorizations_of_its_own_facilities_clients_only(
    world: World,
) -> None:
    hers = world.authorize()
    theirs = world.register(world.built.west.pk)
    path = f"clients/{theirs}/authorizations"
    other = ok(world.billing.post(path, world.body(number="PA-9")), 201)
    refused(world.desk.get(f"authorizations/{other['id']}"), 404, "not_found")
    refused(world.desk.get(path), 404, "not_found")
    (listed,) = ok(world.desk.get("authorizations"))["results"]
    assert listed["id"] == hers["id"]
    body = {"visits": 1, "reason": "x"}
    refused(world.desk.patch(f"authorizations/{other['id']}", body), 404, "not_found")
    refused(world.desk.post(path, world.body()), 404, "not_found")
    assert len(ok(world.billing.get("authorizations"))["results"]) == 2
    assert len(ok(world.paula.get("authorizations"))["results"]) == 2


def test_the_history_of_a_client_names_billings_events(world: World) -> None:
    world.authorize()
    world.sign(0)
    types = [
        one["type"] for one in ok(world.owner.get(f"clients/{world.client_id}/history"))["results"]
    ]
    assert {"authorization.recorded", "visit.drawn"} <= set(types)
