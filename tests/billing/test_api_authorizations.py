"""Authorizations over HTTP: recorded, read by role, amended, ended, listed."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from msgspec.structs import replace

from practice.clock import clock
from practice.core.terms import Credential
from practice.policy.models import PracticeSetting
from tests.billing.practice_rows import note_on, sign
from tests.billing.world import World
from tests.builders import NOBODY_KNOWS, ok, refused, version_of
from tests.sessions.booking.http import book, local

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
    assert version_of(answer) >= 1


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


@pytest.mark.parametrize("name", ["visits", "units", "minutes"])
def test_an_amount_is_written_by_the_name_by_which_it_is_read(world: World, name: str) -> None:
    as_read = f"{name}_authorized"
    made = world.authorize(minutes=100)
    path = f"authorizations/{made['id']}"
    both = {name: 3, as_read: 3, "reason": "letter"}
    problem = refused(world.desk.patch(path, both), 400, "invalid")
    assert [one["field"] for one in problem["errors"]] == [as_read]
    for amount in (3, None):
        shown = ok(world.desk.patch(path, {as_read: amount, "reason": "letter"}))
        assert shown[as_read] == amount
    body = {key: one for key, one in world.body(number="PA-9").items() if key != name}
    path = f"clients/{world.client_id}/authorizations"
    assert ok(world.desk.post(path, {**body, as_read: 7}), 201)[as_read] == 7


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
        ({"practitioner_ids": [str(NOBODY_KNOWS)]}, "practitioner_ids"),
        ({"payer_id": str(NOBODY_KNOWS)}, "payer_id"),
        ({"payer_id": "x"}, "payer_id"),
        ({"number": ""}, "number"),
        ({"coverage_order": 0}, "coverage_order"),
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
    version = version_of(world.desk.get(path))
    changed = ok(world.desk.patch(path, {"visits": 20, "reason": "extended"}, match=version))
    assert (changed["visits_authorized"], changed["units_authorized"]) == (20, 20)
    answer = world.desk.patch(path, {"visits": 30, "reason": "again"}, match=version)
    refused(answer, 412, "stale_version")


def test_something_else_in_the_record_does_not_make_an_authorization_stale(world: World) -> None:
    made = world.authorize()
    path = f"authorizations/{made['id']}"
    version = version_of(world.desk.get(path))
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
    assert ok(world.desk.post(path, later))["last_day"] == "2026-04-30"
    opened = ok(world.desk.post(path.replace("ending", "reopening"), {"reason": "in error"}))
    assert (opened["ended_on"], opened["last_day"]) == (None, "2026-05-31")
    outside = world.authorize(number="PA-418")
    answer = world.desk.post(
        f"authorizations/{outside['id']}/ending", {**body, "ends_on": "2026-07-01"}
    )
    assert refused(answer, 400, "invalid")["errors"][0]["field"] == "ends_on"


@pytest.mark.parametrize("how", ["ended", "shortened"])
def test_an_end_before_visits_that_it_covers_warns_and_their_draws_stand(
    world: World, how: str
) -> None:
    made = world.authorize()
    for day in (0, 7, 14):
        world.sign(day)
    path = f"authorizations/{made['id']}"
    assert ok(world.desk.get(path))["warnings"] == []
    if how == "ended":
        body = {"ends_on": "2026-03-02", "reason": "change of payer"}
        now = ok(world.desk.post(f"{path}/ending", body))
    else:
        now = ok(world.desk.patch(path, {"ends_on": "2026-03-02", "reason": "corrected"}))
    (warning,) = now["warnings"]
    assert warning["code"] == "used_after_end"
    assert "2 days after that" in warning["text"]
    assert now["used_after_end"] == ["2026-03-09", "2026-03-16"]
    assert all(day in warning["text"] for day in now["used_after_end"])
    assert (now["visits_used"], now["units_used"]) == (3, 6)
    (listed,) = ok(world.billing.get("authorizations"))["results"]
    assert listed == {**ok(world.billing.get(path)), "diagnoses": []}
    other = world.authorize(number="PA-418")
    for visit in world.visits(**{"from": "2026-03-09"}):
        moved = {"authorization_id": other["id"], "reason": "other payer's"}
        ok(world.billing.post(f"visits/{visit['id']}/override", moved))
    assert ok(world.desk.get(path))["used_after_end"] == []


def test_one_that_runs_out_says_why_by_the_lead_of_the_settings(world: World) -> None:
    few: dict[str, Any] = {"starts_on": "2020-01-01", "ends_on": "2190-12-31"}
    world.authorize(number="U", **few, visits=None, units=8)
    world.authorize(number="M", **few, visits=None, units=None, minutes=120)
    world.authorize(number="BOTH", **few, visits=1, units=1)
    world.authorize(number="MANY", **few, visits=None, units=9)
    found = ok(world.billing.get("authorizations", {"running_out": "true"}))["results"]
    assert {one["number"]: [why["code"] for why in one["running_out"]] for one in found} == {
        "U": ["units"],
        "M": ["minutes"],
        "BOTH": ["visits", "units"],
    }
    PracticeSetting.objects.filter(group="billing", key="running_out_units").update(value=9)
    found = ok(world.billing.get("authorizations", {"running_out": "true"}))["results"]
    assert "MANY" in {one["number"] for one in found}


def test_rows_name_the_payer_and_a_visits_practitioner_and_facility(world: World) -> None:
    made = world.authorize()
    assert made["payer_name"] == "Lakeshore"
    doctor = world.built.practitioners[Credential.PHYSICAL_THERAPIST]
    note = replace(note_on(0), practitioner_id=doctor.pk, facility_id=world.built.east.pk)
    sign(world.client_id, note)
    (visit,) = world.visits()
    assert visit["payer_name"] == "Lakeshore"
    (session,) = visit["sessions"]
    assert (session["practitioner_name"], session["facility_name"]) == (
        doctor.name,
        world.built.east.name,
    )
    assert ok(world.billing.get(f"visits/{visit['id']}")) == visit


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
    assert numbers(to="2020-12-31") == {"OLD"}
    assert numbers(payer_id=str(world.payer.pk)) == numbers()
    assert numbers(client_id=str(NOBODY_KNOWS)) == set()
    for query, code in (
        ({"colour": "red"}, "unknown_parameter"),
        ({"state": "late"}, "invalid"),
        ({"to": "soon"}, "invalid"),
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
    own = world.authorize()
    theirs = world.register(world.built.west.pk)
    path = f"clients/{theirs}/authorizations"
    other = ok(world.billing.post(path, world.body(number="PA-9")), 201)
    refused(world.desk.get(f"authorizations/{other['id']}"), 404, "not_found")
    refused(world.desk.get(path), 404, "not_found")
    (listed,) = ok(world.desk.get("authorizations"))["results"]
    assert listed["id"] == own["id"]
    body = {"visits": 1, "reason": "x"}
    refused(world.desk.patch(f"authorizations/{other['id']}", body), 404, "not_found")
    refused(world.desk.post(path, world.body()), 404, "not_found")
    assert len(ok(world.billing.get("authorizations"))["results"]) == 2
    assert len(ok(world.paula.get("authorizations"))["results"]) == 2


def test_the_history_of_a_client_names_billings_events(world: World) -> None:
    made = world.authorize()
    world.sign(0, stretching=20, cardio=20)
    (visit,) = world.visits()
    ok(world.billing.post(f"visits/{visit['id']}/override", {"units": {"CAR15": 1}}))
    path = f"authorizations/{made['id']}"
    ok(world.desk.patch(path, {"visits": 12, "reason": "extended"}))
    ok(world.desk.post(f"{path}/ending", {"ends_on": "2026-04-30", "reason": "moved"}))
    usage_changes = ok(world.owner.get(f"clients/{world.client_id}/history"))["results"]
    said = {one["type"]: one["text"] for one in reversed(usage_changes)}
    recorded = "Authorization PA-417 was recorded, 2026-03-01 to 2026-05-31."
    assert said["authorization.recorded"] == recorded
    assert said["authorization.amended"].startswith("Authorization PA-417 was amended")
    assert said["authorization.ended"] == "An authorization was ended on 2026-04-30: moved"
    assert "1 of CAR15" in said["visit.overridden"]
    calculated = [one["text"] for one in usage_changes if one["type"] == "visit.calculated"]
    assert {one.partition(": ")[2] for one in calculated} == {
        "units used: 1 of CAR15, 1 of STR15; 1 waiting for a choice.",
        "units used: 2 of CAR15, 1 of STR15.",
    }


def test_an_end_before_booked_sessions_warns_of_them(world: World) -> None:
    today = clock.now().date()
    starts_on, ends_on = str(today - timedelta(days=30)), str(today + timedelta(days=60))
    made = world.authorize(starts_on=starts_on, ends_on=ends_on)
    path = f"authorizations/{made['id']}"
    for days in (5, 20):
        book(world.built, world.client_id, local(days), requested_mode="self_directed")
    assert ok(world.desk.get(path))["warnings"] == []
    body = {"ends_on": str(today + timedelta(days=10)), "reason": "change of payer"}
    (warning,) = ok(world.desk.post(f"{path}/ending", body))["warnings"]
    assert warning["code"] == "booked_after_end"
    assert "1 day with sessions booked" in warning["text"]


@pytest.mark.parametrize(
    ("member_id", "told"),
    [("LHP-99812", False), ("lhp 99812", False), ("LHP-99821", True)],
)
def test_another_member_id_than_before_of_the_same_payer_is_a_warning(
    world: World, member_id: str, told: bool
) -> None:
    first = world.authorize()
    next_: dict[str, Any] = {"number": "PA-418", "starts_on": "2026-06-01", "ends_on": "2026-08-31"}
    second = world.authorize(**next_, member_id=member_id)
    assert [one["code"] for one in second["warnings"]] == ["another_member_id"] * told
    if told:
        assert "LHP-99812" in second["warnings"][0]["text"]
    assert ok(world.desk.get(f"authorizations/{first['id']}"))["warnings"] == []
    path = f"authorizations/{first['id']}/voiding"
    ok(world.desk.post(path, {"reason": "wrong client"}))
    assert ok(world.desk.get(f"authorizations/{second['id']}"))["warnings"] == []
