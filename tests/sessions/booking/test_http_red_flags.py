"""A red flag stands for the day: for every session, endpoint and split; only a practitioner
answers it away."""

from __future__ import annotations

from datetime import timedelta
from functools import cache
from typing import Any
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.terms import Credential, Role
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import WELL, book, practitioner_api
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db
SICK = {**WELL, "new_symptoms": ["chest_pain"]}


@pytest.fixture
def built(monkeypatch: pytest.MonkeyPatch) -> Any:
    made = build_practice()
    # One token for each of the staff: under a held clock a second one would be the same.
    monkeypatch.setattr(made, "api", cache(made.api))
    # Noon in the east, so that both sessions fall on one local day whenever this runs.
    noon = clock.now().replace(hour=16, minute=0) + timedelta(days=1)
    with clock.at(noon):
        yield made


def soon(built: Built, client_id: UUID, minutes: int = 5, **changes: Any) -> dict[str, Any]:
    return book(built, client_id, (clock.now() + timedelta(minutes=minutes)).isoformat(), **changes)


def arrive(api: Any, session: dict[str, Any], answers: dict[str, Any]) -> Any:
    return api.post(f"sessions/{session['id']}/arrival", answers)


def permissions(built: Built, client_id: UUID, **more: Any) -> Any:
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    asked = {"practitioner_id": str(paula.pk), "facility_id": str(built.east.pk), **more}
    return ok(practitioner_api(built).get(f"clients/{client_id}/permissions", asked))


def parts(split: Any, name: str = "parts") -> dict[str, int]:
    return {one["part"]: one["minutes"] for one in split[name]}


def codes(reasons: Any) -> set[str]:
    return {one["code"] for one in reasons}


def test_on_a_day_with_a_red_flag_no_work_is_offered(built: Built) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    session = soon(built, client_id)
    before = ok(api.get(f"sessions/{session['id']}/split"))
    assert parts(before)["stretching"] > 0
    assert "split.not_today" not in codes(before["reasons"])
    ok(arrive(api, session, SICK))
    split = ok(api.get(f"sessions/{session['id']}/split"))
    rest = {"stretching": 0, "cardio": 0, "strength": 0, "measuring_and_talk": 60}
    assert parts(split) == rest
    (reason,) = [one for one in split["reasons"] if one["code"] == "split.not_today"]
    assert reason["source"] == "practice policy: refer, no work today"
    plan = ok(api.get(f"sessions/{session['id']}/plan"))["split"]
    assert parts(plan, "suggested") == rest
    assert "split.not_today" in codes(plan["reasons"])
    assert {one["limb"] for one in plan["loading_criteria"]} >= {"left_arm", "right_arm", "trunk"}
    assert all(one["open"] or one["reasons"] for one in plan["loading_criteria"])


def test_a_day_without_touch_says_that_stretching_is_self_directed(built: Built) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    session = soon(built, client_id)
    ok(arrive(api, session, WELL))
    path = f"sessions/{session['id']}/split"
    assert "split.self_directed" not in codes(ok(api.get(path))["reasons"])
    ok(arrive(api, session, {**WELL, "hands_on_today": "no"}))
    found = ok(api.get(path))
    assert "split.self_directed" in codes(found["reasons"])
    assert parts(found)["stretching"] > 0


def test_a_red_flag_in_the_morning_closes_the_afternoon_too(built: Built) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    first = soon(built, client_id, practitioner_id=str(olga.pk))
    later = soon(built, client_id, minutes=180)
    assert permissions(built, client_id)["arrival_of"] is None
    ok(arrive(built.api(Role.FRONT_DESK), first, SICK))
    now = permissions(built, client_id)
    assert (now["mode"], now["arrival_of"]) == ("not_today", first["id"])
    assert now["refer_to"]
    plan = ok(api.get(f"sessions/{later['id']}/plan"))
    assert plan["permissions"]["mode"] == plan["session"]["mode"] == "not_today"
    assert parts(plan["split"], "suggested")["stretching"] == 0
    tomorrow = (clock.now() + timedelta(days=1)).date().isoformat()
    assert permissions(built, client_id, on=tomorrow)["arrival_of"] is None
    refused(arrive(built.api(Role.FRONT_DESK), later, WELL), 409, "red_flag_stands")


def test_todays_yes_and_a_stop_since_count_for_the_clients_permissions(built: Built) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    session = soon(built, client_id)
    assert permissions(built, client_id)["provisional"]
    ok(arrive(api, session, WELL))
    answered = permissions(built, client_id)
    assert (answered["mode"], answered["provisional"]) == ("hands_on", False)
    ok(api.post(f"sessions/{session['id']}/stop", {"minute": 10}))
    stopped = permissions(built, client_id)
    assert (stopped["mode"], stopped["arrival_of"]) == ("self_directed", session["id"])
    assert "stop" in codes(stopped["reasons"])


def test_the_desk_does_not_lift_a_red_flag_and_a_practitioner_does(built: Built) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    session = soon(built, client_id)
    ok(arrive(desk, session, SICK))
    problem = refused(arrive(desk, session, WELL), 409, "red_flag_stands")
    assert "practitioner" in problem["detail"]
    worse = ok(arrive(desk, session, {**SICK, "fever_c": 38.6}))
    assert worse["session"]["mode"] == worse["permissions"]["mode"] == "not_today"
    seen = ok(arrive(practitioner_api(built), session, WELL))
    assert seen["session"]["mode"] == seen["permissions"]["mode"] == "hands_on"
    assert ok(desk.get(f"sessions/{session['id']}"))["mode"] == "hands_on"
    no = ok(arrive(desk, session, {**WELL, "hands_on_today": "no"}))
    assert no["session"]["mode"] == no["permissions"]["mode"] == "self_directed"


def test_answers_never_widen_a_session_beyond_its_plan(built: Built) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    session = soon(built, client_id, requested_mode="self_directed")
    ok(arrive(api, session, SICK))
    again = ok(arrive(api, session, WELL))
    assert again["session"]["mode"] == "self_directed"


def test_what_was_warned_of_at_booking_is_read_again(built: Built) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    late_at_night = clock.now().replace(hour=3, minute=45) + timedelta(days=3)
    made = book(built, client_id, late_at_night.isoformat(), minutes=30)
    assert made["warnings"]
    path = f"sessions/{made['id']}"
    assert ok(desk.get(path))["warnings"] == made["warnings"]
    listed = ok(desk.get("sessions", {"client_id": str(client_id)}))["results"]
    assert [one["warnings"] for one in listed] == [made["warnings"]]
    moved = {"starts_at": (clock.now() + timedelta(hours=30)).isoformat(), "reason": "By day."}
    assert ok(desk.post(f"{path}/move", moved))["warnings"] == []
    assert ok(desk.get(path))["warnings"] == []


def test_a_red_flag_since_closes_a_session_that_she_has_arrived_for_already(built: Built) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    first, later = soon(built, client_id), soon(built, client_id, minutes=70)
    for session in (first, later):
        ok(arrive(api, session, WELL))
    ok(arrive(api, first, SICK))
    opened = ok(api.post(f"sessions/{later['id']}/opening"))
    assert opened["mode"] == "not_today"
    assert "red_flag.chest_pain" in codes(opened["reasons"])


def test_a_red_flag_closes_suggested_loads_and_new_home_exercises_of_that_day(
    built: Built,
) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    ok(arrive(built.api(Role.FRONT_DESK), soon(built, client_id), SICK))
    asked = {"limb": "left_leg", "sets": [{"load": 10, "repetitions": 10}]}
    found = ok(api.post(f"clients/{client_id}/load-suggestion", asked))
    assert (found["suggestion"], found["open"]) == (None, False)
    assert "red_flag.chest_pain" in codes(found["reasons"])
    exercise = {
        "stretch": "abduction_pattern",
        "side": "right",
        "dose": {"technique": "active_isolated", "repetitions": 10, "hold_seconds": 2},
        "stop_signs": ["sharp pain"],
        "assigned_on": (clock.now() - timedelta(days=1)).date().isoformat(),
    }
    problem = refused(
        api.post(f"clients/{client_id}/home-exercises", exercise), 409, "not_permitted"
    )
    assert "red_flag.chest_pain" in codes(problem["reasons"])
