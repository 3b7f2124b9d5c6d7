"""A red flag stands until it is cleared: for every day, session, endpoint and split (ruling 49)."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache
from typing import Any
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.people_and_places.models.practitioners import Practitioner
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import WELL, book, local, practitioner_api
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db
SICK = {**WELL, "new_symptoms": ["chest_pain"]}


@pytest.fixture
def built(monkeypatch: pytest.MonkeyPatch) -> Any:
    made = build_practice()
    # One token for each of the staff: under a held clock a second one would be the same.
    monkeypatch.setattr(made, "api", cache(made.api))
    # Noon in the east, so that both sessions fall on one local day whenever this runs.
    with clock.at(datetime.fromisoformat(local(1, 12))):
        yield made


def soon(built: Built, client_id: UUID, minutes: int = 5, **changes: Any) -> dict[str, Any]:
    return book(built, client_id, (clock.now() + timedelta(minutes=minutes)).isoformat(), **changes)


def arrive(api: Any, session: dict[str, Any], answers: dict[str, Any]) -> Any:
    return api.post(f"sessions/{session['id']}/arrival", answers)


def permissions(built: Built, client_id: UUID, **more: Any) -> Any:
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    asked = {
        "practitioner_id": str(paula.pk),
        "facility_id": str(built.east.pk),
        "form": "long",
        **more,
    }
    return ok(practitioner_api(built).get(f"clients/{client_id}/permissions", asked))


def parts(split: Any, name: str = "parts") -> dict[str, int]:
    return {one["part"]: one["minutes"] for one in split[name]}


def build_tokens(built: Built) -> Any:
    """A practitioner's requests with a token of the day: those of yesterday have run out."""
    built.api.cache_clear()  # type: ignore[attr-defined]
    return practitioner_api(built)


def permissions_by(api: Any, built: Built, client_id: UUID) -> Any:
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    asked = {"practitioner_id": str(paula.pk), "facility_id": str(built.east.pk), "form": "long"}
    return ok(api.get(f"clients/{client_id}/permissions", asked))


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
    plan = ok(api.get(f"sessions/{session['id']}/plan", {"form": "long"}))["split"]
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
    plan = ok(api.get(f"sessions/{later['id']}/plan", {"form": "long"}))
    assert plan["permissions"]["mode"] == plan["session"]["mode"] == "not_today"
    assert parts(plan["split"], "suggested")["stretching"] == 0
    tomorrow = (clock.now() + timedelta(days=1)).date().isoformat()
    ahead = permissions(built, client_id, on=tomorrow)
    assert (ahead["mode"], ahead["arrival_of"]) == ("not_today", None)
    denied = ok(arrive(built.api(Role.FRONT_DESK), later, WELL))
    assert denied["session"]["mode"] == denied["permissions"]["mode"] == "not_today"
    assert "red_flag_stands" in codes(denied["session"]["warnings"])


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


SWOLLEN = {**WELL, "swelling": [{"limb": "leg", "side": "left"}]}


def clear(api: Any, session: dict[str, Any], flag: str, found: str = "A bruise.") -> Any:
    return api.post(
        f"sessions/{session['id']}/red-flag-clearance", {"red_flag": flag, "found": found}
    )


def signs(api: Any, client_id: UUID) -> Any:
    return ok(api.get(f"clients/{client_id}/signs"))


def flagged(api: Any, client_id: UUID) -> list[str]:
    return [one["red_flag"] for one in signs(api, client_id)["red_flags"]]


def test_nobody_answers_a_red_flag_away_and_an_evaluating_practitioner_clears_it(
    built: Built,
) -> None:
    client_id, desk, paula = open_client(built), built.api(Role.FRONT_DESK), practitioner_api(built)
    session = soon(built, client_id)
    sick = {**WELL, "new_symptoms": ["new_bone_pain"]}
    ok(arrive(desk, session, sick))
    for api in (desk, paula):
        denied = ok(arrive(api, session, WELL))
        assert denied["session"]["mode"] == denied["permissions"]["mode"] == "not_today"
        assert "red_flag_stands" in codes(denied["session"]["warnings"])
    refused(clear(desk, session, "new_bone_pain"), 403, "forbidden")
    refused(clear(paula, session, "seizure"), 409, "not_standing")
    refused(clear(paula, session, "new_bone_pain", " "), 400, "invalid")
    (stands,) = signs(paula, client_id)["red_flags"]
    assert (stands["session_id"], stands["emergency_today"]) == (session["id"], False)
    assert ok(clear(paula, session, "new_bone_pain"))["mode"] == "hands_on"
    assert flagged(paula, client_id) == []
    assert (
        ok(paula.get(f"sessions/{session['id']}/plan", {"form": "long"}))["permissions"]["mode"]
        == "hands_on"
    )
    assert ok(arrive(desk, session, {"fatigue": 3}))["session"]["mode"] == "hands_on"
    again = ok(arrive(desk, session, sick))
    assert again["session"]["mode"] == "not_today", "said again, it stands again"


def test_an_answer_without_the_field_unsays_nothing_ruling_49(built: Built) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    session = soon(built, client_id)
    ok(arrive(desk, session, SICK))
    for partly in ({}, {"hands_on_today": "yes"}, {"new_symptoms": None, "fatigue": 1}):
        answer = ok(arrive(desk, session, partly))
        assert answer["session"]["mode"] == answer["permissions"]["mode"] == "not_today"
    assert flagged(practitioner_api(built), client_id) == ["chest_pain"]
    assert ok(desk.get(f"sessions/{session['id']}"))["hands_on_today"] == "yes"


def test_the_sign_of_an_emergency_is_cleared_on_a_later_day_only(built: Built) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    session = soon(built, client_id)
    ok(arrive(api, session, {**WELL, "new_symptoms": ["chest_pain"], "fever_c": 38.0}))
    refused(clear(api, session, "chest_pain"), 409, "emergency_today")
    refused(clear(api, session, "fever"), 409, "emergency_today")
    ok(arrive(api, session, {"chemotherapy": False}))
    ok(clear(api, session, "fever"))
    assert flagged(api, client_id) == ["chest_pain"]
    with clock.at(clock.now() + timedelta(days=1)):
        tomorrow = build_tokens(built)
        assert signs(tomorrow, client_id)["red_flags"][0]["emergency_today"] is False
        assert permissions_by(tomorrow, built, client_id)["mode"] == "not_today"
        ok(clear(tomorrow, session, "chest_pain"))
        assert permissions_by(tomorrow, built, client_id)["mode"] != "not_today"


def test_a_fever_that_was_cleared_does_not_come_back_from_the_answer_that_stands(
    built: Built,
) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    session = soon(built, client_id)
    ok(arrive(api, session, {**WELL, "fever_c": 38.0, "chemotherapy": False}))
    assert ok(clear(api, session, "fever"))["mode"] == "hands_on"
    assert (
        ok(api.get(f"sessions/{session['id']}/plan", {"form": "long"}))["permissions"]["mode"]
        == "hands_on"
    )
    assert ok(arrive(api, session, {"fatigue": 3}))["permissions"]["mode"] == "hands_on"
    again = ok(arrive(api, session, {"fever_c": 38.0}))
    assert again["permissions"]["mode"] == "not_today", "measured again"


def test_a_swollen_limb_rests_on_later_days_until_it_was_looked_at(built: Built) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    session, later = soon(built, client_id), soon(built, client_id, minutes=24 * 60 + 5)
    ok(arrive(api, session, SWOLLEN))

    def closed_legs() -> set[str]:
        found = ok(api.get(f"sessions/{later['id']}/plan", {"form": "long"}))["permissions"][
            "stretch_permissions"
        ]
        return {one["side"] for one in found if "arrival.swelling" in codes(one["reasons"])}

    assert closed_legs() >= {"left"}
    assert "right" not in closed_legs()
    ok(clear(api, session, "new_swelling"))
    assert closed_legs() == set()


def test_free_words_close_hands_on_work_until_they_were_reviewed(built: Built) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    session = soon(built, client_id)
    none = ok(arrive(api, session, {**WELL, "other_symptoms": " None. "}))
    assert none["permissions"]["mode"] == "hands_on"
    said = ok(arrive(api, session, {"other_symptoms": "cannot feel my legs"}))
    assert said["session"]["mode"] == said["permissions"]["mode"] == "self_directed"
    assert "arrival.words_unreviewed" in codes(said["permissions"]["reasons"])
    also = ok(arrive(api, session, {"other_symptoms": "none"}))
    assert also["permissions"]["mode"] == "self_directed", "not unsaid by none"
    (words,) = signs(api, client_id)["words"]
    assert words["words"] == "cannot feel my legs"
    path = f"sessions/{session['id']}/words-review"
    body = {"words": ["cannot feel my legs"], "found": "Numb since this morning."}
    refused(built.api(Role.FRONT_DESK).post(path, body), 403, "forbidden")
    refused(api.post(path, {**body, "words": ["something else"]}), 409, "words_not_waiting")
    ok(api.post(path, {**body, "red_flags": ["legs_numb_or_weak"]}))
    assert signs(api, client_id)["words"] == []
    assert flagged(api, client_id) == ["legs_numb_or_weak"]
    refused(clear(api, session, "legs_numb_or_weak"), 409, "emergency_today")
    assert permissions(built, client_id)["mode"] == "not_today"


def test_a_trainer_neither_clears_a_red_flag_nor_reviews_words(built: Built) -> None:
    client_id = open_client(built)
    session = soon(built, client_id)
    ok(arrive(built.api(Role.FRONT_DESK), session, {**SWOLLEN, "other_symptoms": "dizzy"}))
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    Practitioner.objects.filter(pk=paula.pk).update(credential=Credential.PERSONAL_TRAINER)
    trainer = practitioner_api(built)
    problem = refused(clear(trainer, session, "new_swelling"), 403, "may_not_evaluate")
    assert "physical therapist or occupational therapist" in problem["detail"]
    body = {"words": ["dizzy"], "found": "Fine."}
    refused(trainer.post(f"sessions/{session['id']}/words-review", body), 403, "may_not_evaluate")


def test_answers_never_widen_a_session_beyond_its_plan(built: Built) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    session = soon(built, client_id, requested_mode="self_directed")
    ok(arrive(api, session, {**WELL, "new_symptoms": ["new_bone_pain"]}))
    assert ok(clear(api, session, "new_bone_pain"))["mode"] == "self_directed"
    again = ok(arrive(api, session, {**WELL, "fatigue": 3}))
    assert again["session"]["mode"] == "self_directed"


def test_what_was_warned_of_at_booking_is_read_again(built: Built) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    made = book(built, client_id, local(3, 23, 45), minutes=30)
    assert made["warnings"]
    path = f"sessions/{made['id']}"
    assert ok(desk.get(path))["warnings"] == made["warnings"]
    listed = ok(desk.get("sessions", {"client_id": str(client_id)}))["results"]
    assert [one["warnings"] for one in listed] == [made["warnings"]]
    moved = {"starts_at": local(1, 14), "reason": "By day."}
    assert ok(desk.post(f"{path}/move", moved))["warnings"] == []
    assert ok(desk.get(path))["warnings"] == []


def test_a_red_flag_since_closes_a_session_arrived_for_already(built: Built) -> None:
    client_id, api = open_client(built), practitioner_api(built)
    first, later = soon(built, client_id), soon(built, client_id, minutes=70)
    for session in (first, later):
        ok(arrive(api, session, WELL))
    ok(arrive(api, first, SICK))
    opened = ok(api.post(f"sessions/{later['id']}/opening"))
    told = [opened["reason_texts"][str(number)] for number in opened["reasons"]]
    assert opened["mode"] == "not_today"
    assert "red_flag.chest_pain" in codes(told)


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
