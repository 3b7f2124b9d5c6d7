"""Moving, calling off, arrival, absence, stop, plan, over HTTP."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Credential, Gender, Role
from sessions.calendar.models import Session
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import WELL, body, book, key, local, practitioner_api, took_place
from tests.sessions.people import open_client, prefers, registered, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def codes(reasons: Any) -> set[str]:
    return {one["code"] for one in reasons}


def soon(built: Built, client: Any = None, **changes: Any) -> dict[str, Any]:
    """A session in five minutes."""
    start = (clock.now() + timedelta(minutes=5)).isoformat()
    return book(built, client or open_client(built), start, **changes)


def test_a_session_is_moved_and_keeps_its_id(built: Built) -> None:
    session = book(built, open_client(built), local(3))
    desk = built.api(Role.FRONT_DESK)
    moved = ok(
        desk.post(
            f"sessions/{session['id']}/move",
            {"starts_at": local(4, 14), "minutes": 45, "reason": "The client asked."},
            match=session["version"],
        )
    )
    assert moved["id"] == session["id"]
    assert (moved["starts_at"], moved["ends_at"]) == (local(4, 14), local(4, 14, 45))
    assert moved["planned_mode"] == "hands_on"


def test_a_stale_move_is_told_the_version_and_a_taken_time_is_refused(built: Built) -> None:
    session = book(built, open_client(built), local(3))
    book(built, open_client(built), local(4))
    desk, path = built.api(Role.FRONT_DESK), f"sessions/{session['id']}/move"
    sent = {"starts_at": local(4), "minutes": 60, "reason": "The client asked."}
    problem = refused(desk.post(path, sent, match=session["version"] + 1), 412, "stale_version")
    assert problem["current_version"] == session["version"]
    assert refused(desk.post(path, sent), 409, "time_taken")["taken"] == ["practitioner"]
    refused(desk.post(path, {"minutes": 30, "reason": "x"}), 400, "invalid")
    assert ok(desk.get(f"sessions/{session['id']}"))["starts_at"] == local(3)


def test_a_session_moves_to_another_practitioner_and_gives_back_the_first(built: Built) -> None:
    session = book(built, open_client(built), local(3))
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    sent = {"practitioner_id": str(olga.pk), "reason": "Paula is ill."}
    moved = ok(built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/move", sent))
    assert moved["credential"] == "occupational_therapist"
    book(built, open_client(built), local(3))


def test_a_cancelled_session_frees_its_time_and_a_late_one_says_so(built: Built) -> None:
    session = soon(built)
    desk, path = built.api(Role.FRONT_DESK), f"sessions/{session['id']}/cancellation"
    off = ok(desk.post(path, {"by": "client", "reason": "Has a cold."}))
    assert (off["status"], off["cancelled_by"]) == ("cancelled", "client")
    assert 0 <= off["notice_minutes"] <= 5
    assert codes(off["warnings"]) == {"late_cancellation"}
    assert ok(desk.post(path, {"by": "client", "reason": "Has a cold."}))["warnings"] == []
    assert desk.post(path, {"by": "the weather", "reason": "x"}).status_code == 400
    soon(built)


def test_the_arrival_answers_decide_what_is_done_today(built: Built) -> None:
    session = soon(built)
    path = f"sessions/{session['id']}/arrival"
    desk = built.api(Role.FRONT_DESK)
    unanswered = ok(desk.post(path, {"pain_now": 1}))
    assert unanswered["permissions"]["mode"] == "self_directed"
    assert unanswered["permissions"]["provisional"]
    answered = ok(desk.post(path, WELL))
    assert answered["session"]["status"] == "arrived"
    assert answered["permissions"]["mode"] == "hands_on"
    assert not answered["permissions"]["provisional"]


def test_a_red_flag_is_one_general_reason_to_the_desk_and_whole_to_the_practitioner(
    built: Built,
) -> None:
    session = soon(built)
    path = f"sessions/{session['id']}/arrival"
    sick = {**WELL, "fever_c": 38.4, "new_symptoms": ["chest_pain"]}
    desk = ok(built.api(Role.FRONT_DESK).post(path, sick))
    assert desk["permissions"]["mode"] == "not_today"
    assert "health" in codes(desk["permissions"]["reasons"])
    assert codes(desk["permissions"]["reasons"]) <= {"health", "arrival.fetch_practitioner"}
    assert codes(desk["session"]["reasons"]) == codes(desk["permissions"]["reasons"])
    assert desk["permissions"]["refer_to"] == []
    assert desk["session"]["closed"] == []
    shown = ok(practitioner_api(built).get(f"sessions/{session['id']}/plan", {"form": "long"}))
    assert {"red_flag.fever", "red_flag.chest_pain"} <= codes(shown["permissions"]["reasons"])
    assert len(shown["permissions"]["refer_to"]) == 2
    assert shown["answers"]["fever_c"] == 38.4


@pytest.mark.parametrize(
    ("answers", "field"),
    [
        ({"pain_now": 11}, "pain_now"),
        ({"pain_now": "2"}, "pain_now"),
        ({"fever_c": 20}, "fever_c"),
        ({"fever_c": True}, "fever_c"),
        ({"swelling": [{"limb": "arm", "side": "both"}]}, "swelling"),
        ({"new_symptoms": ["hiccups"]}, "new_symptoms"),
        ({"hands_on_today": "maybe"}, "hands_on_today"),
        ({"shoulders": [{"side": "left", "pinches": True, "degrees": 181}]}, "shoulders"),
        ({"occurred_at": "2999-01-01T00:00:00Z"}, "occurred_at"),
    ],
)
def test_answers_that_cannot_be_are_refused_with_the_field(
    built: Built, answers: dict[str, Any], field: str
) -> None:
    session = soon(built)
    answer = practitioner_api(built).post(f"sessions/{session['id']}/arrival", answers)
    assert answer.status_code == 400, answer.content
    assert field in {one["field"].split(".")[0] for one in answer.json()["errors"]}
    assert Session.objects.get(pk=session["id"]).status == "booked"


def test_absence_is_recorded_once_the_session_has_started(built: Built) -> None:
    session = soon(built)
    path = f"sessions/{session['id']}/no-show"
    desk = built.api(Role.FRONT_DESK)
    refused(desk.post(path), 409, "too_early")
    with clock.at(clock.now() + timedelta(minutes=20)):
        assert ok(desk.post(path))["status"] == "no_show"
        refused(desk.post(f"sessions/{session['id']}/arrival", WELL), 409, "session_status")


def test_the_practitioner_opens_an_own_session_only(built: Built) -> None:
    session = soon(built)
    mine = practitioner_api(built)
    refused(mine.post(f"sessions/{session['id']}/opening"), 409, "not_arrived")
    ok(mine.post(f"sessions/{session['id']}/arrival", WELL))
    assert ok(mine.post(f"sessions/{session['id']}/opening"))["opened_at"] is not None
    olga = str(built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk)
    other = soon(built, practitioner_id=olga)
    ok(mine.post(f"sessions/{other['id']}/arrival", WELL))
    refused(mine.post(f"sessions/{other['id']}/opening"), 403, "not_your_session")


def test_after_a_stop_the_plan_is_without_touch(built: Built) -> None:
    session = took_place(built, open_client(built))
    mine = practitioner_api(built)
    before = ok(mine.get(f"sessions/{session['id']}/plan", {"form": "long"}))
    assert before["permissions"]["mode"] == "hands_on"
    stopped = ok(mine.post(f"sessions/{session['id']}/stop", {"minute": 25}))
    assert stopped["stopped_at_minute"] == 25
    after = ok(mine.get(f"sessions/{session['id']}/plan", {"form": "long"}))
    assert after["permissions"]["mode"] == "self_directed"
    assert "stop" in codes(after["permissions"]["reasons"])
    path = f"sessions/{session['id']}/stop"
    refused(mine.post(path, {"minute": 30}), 409, "already_stopped")
    refused(mine.post(path, {"minute": 181, "everything": True}), 400, "invalid")
    left = ok(mine.post(path, {"minute": 70, "everything": True}))
    assert left["stopped_at_minute"] == 25, "the earliest minute"
    assert (
        ok(mine.get(f"sessions/{session['id']}/plan", {"form": "long"}))["permissions"]["mode"]
        == "not_today"
    )


def test_the_plan_shows_verdicts_split_stretches_and_readings(built: Built) -> None:
    session = took_place(built, open_client(built))
    plan = ok(practitioner_api(built).get(f"sessions/{session['id']}/plan", {"form": "long"}))
    modes = {
        (one["stretch"], one["technique"]): one["mode"]
        for one in plan["permissions"]["stretch_permissions"]
    }
    assert modes["abduction_pattern", "active_isolated"] == "hands_on"
    assert modes["pelvic_tilts", "active_isolated"] == "self_directed"
    assert sum(part["minutes"] for part in plan["split"]["suggested"]) == 60
    assert (plan["stretches"], plan["readings"]) == ([], [])


def test_reading_a_session_or_its_plan_is_logged(built: Built) -> None:
    client = open_client(built)
    session = took_place(built, client)
    ok(practitioner_api(built).get(f"sessions/{session['id']}/plan", {"form": "long"}))
    ok(built.api(Role.BILLING).get(f"sessions/{session['id']}"))
    ok(built.api(Role.FRONT_DESK).get("sessions", {"client_id": str(client)}))
    read = AccessEntry.objects.filter(client_id=client, outcome="read")
    assert {"plan", "session", "sessions"} <= set(read.values_list("what", flat=True))


def test_permissions_are_one_verdict_to_the_desk_and_all_to_a_practitioner(
    built: Built,
) -> None:
    client = open_client(built)
    query = {
        "practitioner_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "facility_id": str(built.east.pk),
        "form": "long",
    }
    path = f"clients/{client}/permissions"
    desk = ok(built.api(Role.FRONT_DESK).get(path, query))
    assert (desk["mode"], desk["planned"]) == ("self_directed", "hands_on")
    assert desk["bookable"]
    assert desk["stretch_permissions"] == []
    shown = ok(practitioner_api(built).get(path, query))
    assert len(shown["stretch_permissions"]) > 50
    assert all(one["reasons"] for one in shown["stretch_permissions"] if one["mode"] != "hands_on")
    refused(built.api(Role.FRONT_DESK).get(path), 400, "invalid")
    gone = {**query, "facility_id": str(built.west.pk)}
    assert built.api(Role.FRONT_DESK).get(path, gone).status_code == 404
    stranger = registered(built, built.west)
    desk_api = built.api(Role.FRONT_DESK)
    assert desk_api.get(f"clients/{stranger}/permissions", query).status_code == 404


def test_every_offered_time_can_be_booked_as_it_is_offered(built: Built) -> None:
    client = open_client(built)
    book(built, open_client(built), local(2, 9))
    query = {
        "client_id": str(client),
        "facility_id": str(built.east.pk),
        "from": local(2)[:10],
        "to": local(2)[:10],
        "minutes": 60,
        "page_size": 200,
    }
    desk = built.api(Role.FRONT_DESK)
    offers = ok(desk.get("open-times", query))["results"]
    paula = str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk)
    offered = [one["starts_at"] for one in offers if one["practitioner_id"] == paula]
    assert local(2, 8) in offered
    assert not {local(2, 8, 15), local(2, 9), local(2, 9, 45)} & set(offered)
    for offer in offers[::9]:
        sent = {
            name: offer[name]
            for name in ("practitioner_id", "facility_id", "room_id", "starts_at", "ends_at")
        }
        someone = open_client(built)
        answer = desk.post("sessions", {**sent, "client_id": str(someone)}, key=key())
        session = ok(answer, 201)
        assert session["planned_mode"] == offer["mode"]
        ok(
            desk.post(
                f"sessions/{session['id']}/cancellation", {"by": "practice", "reason": "test"}
            )
        )


def test_who_goes_against_the_preference_is_left_out_with_the_reason(built: Built) -> None:
    client = open_client(built)
    tell(built, client, prefers(Gender.WOMAN))
    query = {
        "client_id": str(client),
        "facility_id": str(built.east.pk),
        "from": local(2)[:10],
        "to": local(2)[:10],
        "minutes": 60,
    }
    found = ok(built.api(Role.FRONT_DESK).get("open-times", query))
    marco = str(built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    assert marco not in {one["practitioner_id"] for one in found["results"]}
    assert [one["practitioner_id"] for one in found["excluded"]] == [marco]
    assert codes(found["excluded"][0]["reasons"]) == {"preference.all_work"}


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"minutes": 5}, "minutes"),
        ({"minutes": "an hour"}, "minutes"),
        ({"to": "2020-01-01"}, "to"),
        ({"to": "2099-01-01"}, "to"),
        ({"from": "soon"}, "from"),
    ],
)
def test_a_question_that_cannot_be_is_refused_with_the_field(
    built: Built, changes: dict[str, Any], field: str
) -> None:
    query = {
        "client_id": str(open_client(built)),
        "facility_id": str(built.east.pk),
        "from": local(2)[:10],
        "to": local(2)[:10],
        "minutes": 60,
        **changes,
    }
    answer = built.api(Role.FRONT_DESK).get("open-times", query)
    assert answer.status_code == 400, answer.content
    assert field in {one["field"] for one in answer.json()["errors"]}


def test_a_move_with_a_start_alone_keeps_the_length(built: Built) -> None:
    session = book(built, open_client(built), local(3), minutes=45)
    sent = {"starts_at": local(4, 14), "reason": "The client asked."}
    moved = ok(built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/move", sent))
    assert (moved["starts_at"], moved["ends_at"]) == (local(4, 14), local(4, 14, 45))


def test_a_taken_time_is_named_on_the_facilitys_clock(built: Built) -> None:
    taken = book(built, open_client(built), local(4))
    sent = body(built, open_client(built), local(4, 10, 30))
    problem = refused(
        built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 409, "time_taken"
    )
    (conflict,) = problem["conflicts"]
    assert (conflict["starts_at"], conflict["ends_at"]) == (taken["starts_at"], taken["ends_at"])
