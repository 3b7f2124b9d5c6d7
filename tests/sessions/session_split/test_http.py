"""The split of a session's hour over HTTP."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest

from clients.health.domain.content import BodySite, Condition, Operation
from clients.health.domain.terms import ClearanceNeed, ConditionKind, OperationKind
from practice.clock import clock
from practice.core.appspec import installed
from practice.core.terms import Credential, Region, Role, SessionPart, Side
from sessions.session_split.selectors.facts import PAYABLE_PARTS
from tests.builders import NOBODY_KNOWS, Built, ok, refused
from tests.sessions.booking.http import body, book, key, local
from tests.sessions.people import open_client, reviewed, tell
from tests.sessions.stretches.stories import measure


def operated(weeks: int, **more):
    day = clock.now().date() - timedelta(weeks=weeks)
    one = Operation(id=uuid4(), kind=OperationKind.MASTECTOMY, side=Side.RIGHT, on=day)
    return reviewed(operations=(one,), **more)


def split(built: Built, session: str, **asked):
    return ok(built.api(Role.PRACTITIONER).get(f"sessions/{session}/split", asked))


def by_part(found):
    return {one["part"]: one["minutes"] for one in found["parts"]}


def test_fresh_out_of_surgery_it_is_mostly_stretching_and_no_strength(built: Built) -> None:
    client_id = open_client(built)
    tell(built, client_id, operated(3))
    session = book(built, client_id, local(2), minutes=60)["id"]
    found = split(built, session)
    assert sum(by_part(found).values()) == found["booked_minutes"] == 60
    assert by_part(found)["stretching"] == 40
    assert by_part(found)["strength"] == 0
    assert all(not gate["open"] for gate in found["loading_criteria"])
    cardio = next(one for one in found["parts"] if one["part"] == "cardio")
    assert (cardio["note"], cardio["payable"]) == ("easy walking", None)
    assert all(reason["source"] for reason in found["reasons"])


def test_as_range_comes_back_it_converts(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    tell(built, client_id, operated(30))
    session = book(built, client_id, local(2))["id"]
    measure(api, client_id, 90)
    stiff = by_part(split(built, session, sedentary="false"))
    measure(api, client_id, 178, new_pain=False)
    loose = by_part(split(built, session, sedentary="false"))
    assert stiff["stretching"] > loose["stretching"]
    assert loose["strength"] > 0


def test_other_limbs_may_carry_load_while_the_operated_arm_waits(built: Built) -> None:
    client_id = open_client(built)
    tell(built, client_id, operated(30))
    session = book(built, client_id, local(2))["id"]
    loading_criteria = {one["limb"]: one for one in split(built, session)["loading_criteria"]}
    assert {limb for limb, gate in loading_criteria.items() if gate["open"]} == {
        "left_arm",
        "left_leg",
        "right_leg",
        "trunk",
    }
    codes = {reason["code"] for reason in loading_criteria["right_arm"]["reasons"]}
    assert codes == {
        "flexion_short",
        "abduction_short",
        "load.pain_not_asked",
        "load.incision",
    }


def test_lymphedema_alone_closes_no_load(built: Built) -> None:
    # Ruling 53: it does not close load; people would stop recording it.
    client_id = open_client(built)
    site = BodySite(region=Region.ARM, side=Side.LEFT)
    swollen = Condition(id=uuid4(), kind=ConditionKind.LYMPHEDEMA, sites=(site,))
    tell(built, client_id, reviewed(conditions=(swollen,)))
    session = book(built, client_id, local(2))["id"]
    loading_criteria = {one["limb"]: one for one in split(built, session)["loading_criteria"]}
    assert (loading_criteria["left_arm"]["open"], loading_criteria["left_arm"]["reasons"]) == (
        True,
        [],
    )


def test_a_trainer_gives_no_strength_to_an_operated_client_whom_nobody_measured(
    built: Built,
) -> None:
    tessa, client_id = built.practitioners[Credential.PERSONAL_TRAINER], open_client(built)
    tell(built, client_id, operated(30))
    sent = body(
        built,
        client_id,
        local(2, zone="America/Los_Angeles"),
        practitioner_id=str(tessa.pk),
        facility_id=str(built.west.pk),
    )
    session = ok(built.api(Role.OWNER).post("sessions", sent, key=key()), 201)["id"]

    def asked():
        return split(built, session, sedentary="false")

    assert by_part(asked())["strength"] == 0
    assert "measured_first" in {reason["code"] for reason in asked()["reasons"]}
    measure(built.api(Role.PRACTITIONER), client_id, 150)
    assert by_part(asked())["strength"] > 0
    assert "measured_first" not in {reason["code"] for reason in asked()["reasons"]}


def test_without_clearance_nothing_is_loaded(built: Built) -> None:
    client_id = open_client(built)
    tell(built, client_id, operated(30, clearance_need=ClearanceNeed.NEEDED))
    session = book(built, client_id, local(2))["id"]
    assert by_part(split(built, session, sedentary="false"))["strength"] == 0


def test_a_credential_delivers_only_its_parts(built: Built) -> None:
    client_id = open_client(built)
    marco = built.practitioners[Credential.MASSAGE_THERAPIST]
    sent = body(built, client_id, local(2), practitioner_id=str(marco.pk))
    session = ok(built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 201)["id"]
    found = split(built, session)
    assert by_part(found)["cardio"] == by_part(found)["strength"] == 0
    assert "outside_scope" in {reason["code"] for reason in found["reasons"]}


def test_what_the_payer_pays_is_asked_of_the_floor_above(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(
        installed.extensions, PAYABLE_PARTS, (lambda *_: (SessionPart.STRETCHING,),)
    )
    client_id = open_client(built)
    session = book(built, client_id, local(2))["id"]
    payable = {one["part"]: one["payable"] for one in split(built, session)["parts"]}
    assert (payable["stretching"], payable["cardio"]) == (True, False)


OWN = {"stretching": 30, "cardio": 15, "strength": 10, "measuring_and_talk": 5}


def test_the_practitioners_own_split_wins_with_its_reason(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    tell(built, client_id, operated(2))
    session = book(built, client_id, local(2))["id"]
    path = f"sessions/{session}/split"
    problem = refused(api.put(path, OWN), 400, "invalid")
    assert problem["errors"][0]["field"] == "reason"
    practitioner_split = ok(api.put(path, {**OWN, "reason": "legs only, agreed"}))[
        "practitioner_split"
    ]
    assert practitioner_split["minutes"] == OWN
    assert [one["code"] for one in practitioner_split["unmet_criteria"]] == [
        "no_loading_criteria_met"
    ]
    assert split(built, session)["practitioner_split"]["reason"] == "legs only, agreed"


def test_the_practitioners_split_must_sum_to_the_booked_length(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    session = book(built, client_id, local(2))["id"]
    problem = refused(api.put(f"sessions/{session}/split", {**OWN, "cardio": 20}), 400, "invalid")
    assert "65" in problem["detail"]


def test_an_unknown_session_is_not_found_and_the_desk_has_no_split(built: Built) -> None:
    refused(built.api(Role.PRACTITIONER).get(f"sessions/{NOBODY_KNOWS}/split"), 404, "not_found")
    refused(built.api(Role.FRONT_DESK).get(f"sessions/{NOBODY_KNOWS}/split"), 403, "forbidden")
    asked = {"colour": "red"}
    refused(
        built.api(Role.PRACTITIONER).get(f"sessions/{NOBODY_KNOWS}/split", asked),
        400,
        "unknown_parameter",
    )
