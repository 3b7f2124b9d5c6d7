"""Visits over HTTP: what was drawn, what is not covered and why, a person's choice."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from msgspec import structs

from practice.audit.rebuild import compare
from practice.core.terms import SessionPart
from practice.jobs.services import run_due_jobs
from sessions.notes.domain.events import (
    AddendumAdded,
    NoteCount,
    NotePartMinutes,
    SessionTimes,
    TimeSource,
)
from tests.billing.practice_rows import note_on, sign
from tests.billing.world import World
from tests.builders import NOBODY_KNOWS, ok, refused, version_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return World()


def test_billing_sees_what_a_visit_drew(world: World) -> None:
    made = world.authorize()
    world.sign(0, stretching=33, cardio=7, measuring_and_talk=5)
    (visit,) = ok(world.billing.get(f"authorizations/{made['id']}/visits"))["results"]
    assert visit["used_units"] == visit["expected_units"] == {"STR15": 2, "CAR15": 1}
    assert (visit["covered"], visit["reasons"]) == ("covered", [])
    assert visit["local_date"] == "2026-03-02"
    assert {one["part"]: one["minutes"] for one in visit["sessions"][0]["minutes"]} == {
        "stretching": 33,
        "cardio": 7,
        "measuring_and_talk": 5,
    }
    assert [one["uncovered_reason"] for one in visit["excluded_minutes"]] == ["no_service_code"]
    assert ok(world.billing.get(f"visits/{visit['id']}")) == visit


def test_the_list_of_what_is_not_covered_is_filtered_by_reason(world: World) -> None:
    world.sign(0)
    world.authorize(visits=1)
    world.sign(1)
    world.sign(2)
    world.sign(3, stretching=4)
    world.sign(120)
    assert len(world.visits()) == 5
    assert len(world.visits(covered="not_covered")) == 4
    for reason in (
        "no_authorization",
        "no_visits_left",
        "under_eight_minutes",
        "outside_period",
    ):
        (visit,) = world.visits(reason=reason)
        assert [one["code"] for one in visit["reasons"]] == [reason]
        assert visit["reasons"][0]["text"].endswith(".")
        assert (visit["covered"], visit["used_units"]) == ("not_covered", {})
    assert world.visits(reason="units_short") == []
    assert len(world.visits(**{"from": "2026-03-03", "to": "2026-03-04"})) == 2


def test_a_visit_that_nobody_pays_says_what_it_would_be_worth_or_why_not(world: World) -> None:
    world.sign(0)
    (unknown,) = world.visits(reason="no_authorization")
    assert unknown["billable_units"] is None
    assert unknown["billable_units_unknown"].startswith(
        "No authorization of this client is on record"
    )
    made = world.authorize(visits=1)
    (known,) = world.visits(reason="no_authorization")
    assert (known["billable_units"]["timed_minutes"], known["billable_units"]["units"]) == (
        30,
        {"STR15": 2},
    )
    assert (known["billable_units_unknown"], known["used_units"]) == ("", {})
    world.sign(1)
    world.sign(2, stretching=33, cardio=7)
    (short,) = world.visits(reason="no_visits_left")
    assert short["used_units"] == {}
    assert short["billable_units"] == {
        "payer_id": made["payer_id"],
        "timed_minutes": 40,
        "units": {"STR15": 2, "CAR15": 1},
        "undecided_units": 0,
    }
    assert short["billable_units_unknown"] == ""


def test_a_person_chooses_between_equal_remainders(world: World) -> None:
    made = world.authorize()
    world.sign(0, stretching=20, cardio=20)
    (visit,) = world.visits(awaiting_override="true")
    assert visit["undecided"] == {
        "units": 1,
        "max_by_code": {"STR15": 1, "CAR15": 1},
        "undecided_reason": "equal_remainders",
    }
    assert ok(world.billing.get(f"authorizations/{made['id']}"))["units_reserved"] == 1
    path = f"visits/{visit['id']}/override"
    body = {"units": {"CAR15": 1}, "reason": "the plan says so"}
    chosen = ok(world.billing.post(path, body))
    assert (chosen["used_units"], chosen["undecided"]) == ({"STR15": 1, "CAR15": 2}, None)
    assert world.visits(awaiting_override="true") == []
    assert ok(world.billing.get(f"authorizations/{made['id']}"))["units_reserved"] == 0
    assert ok(world.billing.post(path, body)) == chosen
    assert (chosen["units_chosen_by_person"], chosen["expected_units_undecided"]) == (True, 0)
    assert chosen["authorization_chosen_by_person"] is False
    corrected = ok(world.billing.post(path, {"units": {"STR15": 1}, "reason": "slip"}))
    assert (corrected["used_units"], corrected["undecided"]) == ({"STR15": 2, "CAR15": 1}, None)
    usage_changes = ok(world.owner.get(f"clients/{world.client_id}/history"))["results"]
    assert [one["type"] for one in usage_changes].count("visit.overridden") == 2
    assert compare().differences == []
    world.sign(1)
    (other,) = world.visits(**{"from": "2026-03-03"})
    answer = world.billing.post(f"visits/{other['id']}/override", {"units": {"STR15": 1}})
    refused(answer, 409, "nothing_to_choose")


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"units": {}},
        {"units": {"CAR15": 2}},
        {"units": {"NONE": 1}},
        {"units": {"CAR15": -1}},
        {"units": {"CAR15": "one"}},
        {"units": ["CAR15"]},
        {"units": {"CAR15": 1}, "authorization_id": str(NOBODY_KNOWS)},
    ],
)
def test_a_choice_that_does_not_fit_is_refused(world: World, body: Any) -> None:
    world.authorize()
    world.sign(0, stretching=20, cardio=20)
    (visit,) = world.visits()
    refused(world.billing.post(f"visits/{visit['id']}/override", body), 400, "invalid")


def test_a_person_covers_a_visit_after_room_appeared(world: World) -> None:
    made = world.authorize(visits=1)
    world.sign(0)
    world.sign(1)
    (visit,) = world.visits(reason="no_visits_left")
    ok(world.desk.patch(f"authorizations/{made['id']}", {"visits": 2, "reason": "extended"}))
    assert world.visits(reason="no_visits_left")
    body = {"authorization_id": made["id"], "reason": "extended"}
    now = ok(world.billing.post(f"visits/{visit['id']}/override", body))
    assert (now["covered"], now["authorization_chosen_by_person"]) == ("covered", True)
    assert ok(world.billing.get(f"authorizations/{made['id']}"))["visits_left"] == 0


def test_a_choice_made_on_a_stale_visit_is_refused(world: World) -> None:
    world.authorize()
    world.sign(0, stretching=20, cardio=20)
    (visit,) = world.visits()
    version = version_of(world.billing.get(f"visits/{visit['id']}"))
    world.sign(0, stretching=1)
    answer = world.billing.post(
        f"visits/{visit['id']}/override", {"units": {"CAR15": 1}}, match=version
    )
    refused(answer, 412, "stale_version")


def test_unknown_visits_filters_and_values_are_refused(world: World) -> None:
    refused(world.billing.get(f"visits/{NOBODY_KNOWS}"), 404, "not_found")
    answer = world.billing.post(f"visits/{NOBODY_KNOWS}/override", {"units": {"A": 1}})
    refused(answer, 404, "not_found")
    refused(world.billing.get("visits", {"colour": "red"}), 400, "unknown_parameter")
    for name in ("covered", "reason", "discipline", "payer_id", "from"):
        refused(world.billing.get("visits", {name: "x"}), 400, "invalid")


def share_time(world: World) -> tuple[dict[str, Any], dict[str, Any]]:
    """Two clients in the last fifteen minutes of the first one's half hour."""
    world.authorize()
    note = note_on(0)
    sign(world.client_id, note)
    first, world.client_id = world.client_id, world.register(world.built.east.pk)
    world.authorize()
    started = note.started_at + timedelta(minutes=15)
    theirs = structs.replace(
        note_on(0),
        practitioner_id=note.practitioner_id,
        started_at=started,
        ended_at=started + timedelta(minutes=30),
    )
    sign(world.client_id, theirs)
    run_due_jobs()
    by_client = {one["client_id"]: one for one in world.visits(reason="overlapping_time")}
    return by_client[str(first)], by_client[str(world.client_id)]


def test_a_person_says_whose_shared_minutes_are_and_both_clients_follow(world: World) -> None:
    first, second = share_time(world)
    (session,) = second["sessions"]
    (other,) = first["sessions"]
    assert session["shared"] == [
        {
            "session_id": other["session_id"],
            "starts_at": session["started_at"],
            "ends_at": other["ended_at"],
            "same_client": False,
            "same_class": False,
        }
    ]
    path = f"visits/{second['id']}/override"
    said = {"session_id": session["session_id"], "answer": "all_to_one"}
    now = ok(world.billing.post(path, {"shared_time": said, "reason": "asked both"}))
    assert (now["covered"], now["timed_minutes"], now["used_units"]) == (
        "covered",
        30,
        {"STR15": 2},
    )
    assert (now["sessions"][0]["shared_answer"], now["sessions"][0]["counted_shared_minutes"]) == (
        "all_to_one",
        15,
    )
    assert ok(world.billing.get(f"visits/{first['id']}"))["timed_minutes"] == 15
    minutes = {session["session_id"]: 7, other["session_id"]: 8}
    divided = {**said, "answer": "divided", "minutes": minutes}
    now = ok(world.billing.post(path, {"shared_time": divided}))
    assert (now["timed_minutes"], now["used_units"]) == (22, {"STR15": 1})
    given_back = ok(world.billing.get(f"visits/{first['id']}"))
    assert (given_back["timed_minutes"], given_back["used_units"]) == (23, {"STR15": 2})
    group = {**said, "answer": "group"}
    now = ok(world.billing.post(path, {"shared_time": group}))
    assert [one["uncovered_reason"] for one in now["excluded_minutes"]] == ["no_service_code"]
    assert compare().differences == []


@pytest.mark.parametrize(
    "said",
    [
        {},
        {"answer": "all_to_one"},
        {"session_id": str(NOBODY_KNOWS), "answer": "all_to_one"},
        {"answer": "mine"},
        {"answer": "divided"},
        {"answer": "divided", "minutes": {"x": 1}},
        {"answer": "divided", "minutes": {str(NOBODY_KNOWS): 1}},
        {"answer": "group", "minutes": {str(NOBODY_KNOWS): 1}},
    ],
)
def test_an_answer_on_shared_minutes_that_does_not_fit_is_refused(world: World, said: Any) -> None:
    _, second = share_time(world)
    own = {"session_id": second["sessions"][0]["session_id"]} if said.get("answer") else {}
    if said == {"answer": "all_to_one"}:
        own = {}
    body = {"shared_time": {**own, **said}}
    refused(world.billing.post(f"visits/{second['id']}/override", body), 400, "invalid")


def test_times_corrected_by_an_addendum_are_looked_at_again_for_both_clients(world: World) -> None:
    """Ruling 57: apart, neither waits; together again, both do."""
    first, second = share_time(world)
    (session,) = second["sessions"]
    started = datetime.fromisoformat(session["started_at"])
    for moved, timed in ((timedelta(minutes=15), 30), (timedelta(0), 15)):
        count = NoteCount(
            minutes=(NotePartMinutes(part=SessionPart.STRETCHING, minutes=30),),
            not_counted_minutes=0,
            times=SessionTimes(
                started_at=started + moved,
                started_from=TimeSource.PRACTITIONER,
                ended_at=started + moved + timedelta(minutes=30),
                ended_from=TimeSource.PRACTITIONER,
            ),
        )
        addendum = AddendumAdded(
            addendum_id=uuid4(),
            note_id=UUID(session["note_id"]),
            session_id=UUID(session["session_id"]),
            practitioner_id=UUID(session["practitioner_id"]),
            text="Times corrected.",
            before=count,
            after=count,
        )
        sign(UUID(second["client_id"]), addendum)  # type: ignore[arg-type]
        run_due_jobs()
        for one in (first, second):
            now = ok(world.billing.get(f"visits/{one['id']}"))
            assert now["timed_minutes"] == timed
            assert bool(now["sessions"][0]["shared"]) == (timed == 15)


def test_a_partly_covered_visit_offers_the_authorization_that_would_cover_all(world: World) -> None:
    world.authorize(units=1, ends_on="2026-04-01")
    second = world.authorize(number="PA-418")
    world.sign(0)
    (visit,) = world.visits()
    assert (visit["covered"], visit["used_units"]) == ("partly", {"STR15": 1})
    assert visit["fully_covered_by"] == [{"authorization_id": second["id"], "number": "PA-418"}]
    body = {"authorization_id": second["id"]}
    now = ok(world.billing.post(f"visits/{visit['id']}/override", body))
    assert (now["covered"], now["used_units"], now["fully_covered_by"]) == (
        "covered",
        {"STR15": 2},
        [],
    )
