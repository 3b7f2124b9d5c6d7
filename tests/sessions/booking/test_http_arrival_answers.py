"""What is said on arrival of port, irradiated skin, chemotherapy and interpreter, over HTTP."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from clients.health.domain.content import BloodCount, BodySite, Condition, Radiation
from clients.health.domain.terms import BloodCountKind, ConditionKind
from practice.clock import clock
from practice.core.terms import Region, Role, Side
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import WELL, book, practitioner_api
from tests.sessions.people import consent, open_client, registered, reviewed, tell

pytestmark = pytest.mark.django_db
CHEST = BodySite(region=Region.CHEST, side=Side.LEFT)
LUZ = {"name": "Luz Ferrer", "language": "es", "of_age": True}


@pytest.fixture
def built() -> Built:

    return build_practice()


def client_with(built: Built, *told: Any, **content: Any) -> UUID:
    client_id = open_client(built)
    tell(built, client_id, *told, reviewed(**content))
    return client_id


def soon(built: Built, client_id: UUID) -> dict[str, Any]:
    return book(built, client_id, (clock.now() + timedelta(minutes=5)).isoformat())


def arrived(built: Built, session: dict[str, Any], **answers: Any) -> Any:
    """What may be done by the answers, stretch by stretch as the plan says it."""
    path, api = f"sessions/{session['id']}/arrival", practitioner_api(built)
    came = ok(api.post(path, {**WELL, **answers}))
    plan = ok(api.get(came["plan"].removeprefix("/api/v1/"), {"form": "long"}))["permissions"]
    return {**came["permissions"], "stretch_permissions": plan["stretch_permissions"]}


def codes(shown: Any, stretch: str, side: str = "left", technique: str = "active_isolated") -> Any:
    (one,) = [
        row
        for row in shown["stretch_permissions"]
        if (row["stretch"], row["side"], row["technique"]) == (stretch, side, technique)
    ]
    return {reason["code"] for reason in one["reasons"]}


def test_a_needle_in_the_port_is_asked_and_answered_on_arrival(built: Built) -> None:
    """Ruling 51."""
    since = clock.now().date() - timedelta(days=60)
    port = Condition(id=uuid4(), kind=ConditionKind.IMPLANTED_PORT, sites=(CHEST,), since=since)
    session = soon(built, client_with(built, conditions=(port,)))
    open_ = arrived(built, session)
    assert open_["questions"] == ["needle_in_port"]
    assert "port.ask" in codes(open_, "flexion_pattern")
    needle = arrived(built, session, needle_in_port=True)
    assert needle["questions"] == []
    assert "port.pull" in codes(needle, "flexion_pattern")
    out = arrived(built, session, needle_in_port=False)
    assert not {"port.ask", "port.pull"} & codes(out, "flexion_pattern")
    desk = built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/arrival", WELL)
    assert ok(desk)["permissions"]["questions"] == [], "the desk reads no health reason out of it"


def test_the_look_at_irradiated_skin_is_an_arrival_answer(built: Built) -> None:
    """Ruling 51."""
    today = clock.now().date()
    course = Radiation(id=uuid4(), sites=(CHEST,), from_date=today - timedelta(days=20))
    session = soon(built, client_with(built, radiations=(course,)))
    unseen = arrived(built, session)
    assert unseen["questions"] == ["skin_broken"]
    assert "skin.not_seen_today" in codes(unseen, "flexion_pattern")
    whole = arrived(built, session, skin_broken=False)
    assert (whole["questions"], whole["mode"]) == ([], "hands_on")
    assert not {"skin.not_seen_today", "skin.pull"} & codes(whole, "flexion_pattern")
    assert "skin.pull" in codes(arrived(built, session, skin_broken=True), "flexion_pattern")


def test_what_no_history_knows_may_be_anywhere(built: Built) -> None:
    """Ruling 51: a needle or broken skin of which nothing is on record closes every place."""
    session = soon(built, open_client(built))
    assert arrived(built, session)["questions"] == []
    said = arrived(built, session, needle_in_port=True, skin_broken=True)
    for side in ("left", "right"):
        assert {"port.pull", "skin.pull"} <= codes(said, "flexion_pattern", side)


@pytest.mark.parametrize("counted", [False, True])
def test_chemotherapy_said_on_arrival_makes_unknown_counts_the_second_band(
    built: Built, counted: bool
) -> None:
    """Ruling 51; a count of these days is known in chemotherapy too."""
    day = clock.now().date()
    count = BloodCount(
        id=uuid4(), kind=BloodCountKind.PLATELETS, value=180, drawn_on=day - timedelta(days=2)
    )
    session = soon(built, client_with(built, blood_counts=(count,) if counted else ()))
    for said, unknown in ((None, False), (False, False), (True, not counted)):
        shown = arrived(built, session, chemotherapy=said)
        found = codes(shown, "flexion_pattern", technique="contract_relax")
        assert ("blood.platelets_technique" in found) is unknown
        warned = {one["code"] for one in shown["warnings"]}
        assert ("blood.neutrophils_precautions" in warned) is (said is True)


@pytest.mark.parametrize("on_record", [True, False])
def test_a_fever_in_chemotherapy_that_is_on_record_is_an_emergency(
    built: Built, on_record: bool
) -> None:
    """Ruling 49: said or on record; nobody clears it that day."""
    chemotherapy = Condition(id=uuid4(), kind=ConditionKind.CHEMOTHERAPY)
    client_id = client_with(built, conditions=(chemotherapy,) if on_record else ())
    session = soon(built, client_id)
    arrived(built, session, fever_c=38.4, chemotherapy=False)
    api = practitioner_api(built)
    (flag,) = ok(api.get(f"clients/{client_id}/signs"))["red_flags"]
    assert flag["emergency_today"] is on_record
    clearing = {"red_flag": "fever", "found": "Seen: 36.9 on a second thermometer."}
    answer = api.post(f"sessions/{session['id']}/red-flag-clearance", clearing)
    if on_record:
        refused(answer, 409, "emergency_today")
    else:
        ok(answer)


@pytest.mark.parametrize(
    ("answers", "field"),
    [
        ({"interpreter_present": True}, "interpreter"),
        ({"interpreter": {**LUZ, "of_age": False}}, "interpreter"),
        ({"interpreter": {"name": "Luz", "of_age": True}}, "interpreter"),
        ({"interpreter": {**LUZ, "name": "Luz\nFerrer"}}, "interpreter"),
        ({"interpreter": LUZ, "interpreter_present": False}, "interpreter_present"),
    ],
)
def test_an_interpreter_on_arrival_is_named_and_no_child(
    built: Built, answers: dict[str, Any], field: str
) -> None:
    """Ruling 56."""
    session = soon(built, open_client(built))
    answer = practitioner_api(built).post(f"sessions/{session['id']}/arrival", {**WELL, **answers})
    problem = refused(answer, 400, "invalid")
    assert any(error["field"].split(".")[0] == field for error in problem["errors"])


def test_a_named_interpreter_meets_the_condition_of_the_consent(built: Built) -> None:
    """Ruling 56."""
    client_id = registered(built)
    tell(built, client_id, consent(interpreter=True), reviewed())
    session = soon(built, client_id)
    assert arrived(built, session)["mode"] == "self_directed"
    shown = arrived(built, session, interpreter=LUZ)
    assert "consent.interpreter_language" in {one["code"] for one in shown["reasons"]}
    english = {**LUZ, "language": "en-US"}
    assert arrived(built, session, interpreter=english)["mode"] == "hands_on"


def test_the_answer_is_short_and_names_where_the_plan_is(built: Built) -> None:
    """Issue 11: what a phone needs; stretch by stretch the plan says it."""
    port = Condition(id=uuid4(), kind=ConditionKind.IMPLANTED_PORT, sites=(CHEST,))
    session = soon(built, client_with(built, conditions=(port,)))
    path = f"sessions/{session['id']}/arrival"
    answer = practitioner_api(built).post(path, {**WELL, "new_symptoms": ["new_swelling"]})
    assert len(answer.content) <= 8 * 1024
    assert ok(answer)["session"]["closed"] != []
    assert ok(answer)["plan"] == f"/api/v1/sessions/{session['id']}/plan"
    assert ok(built.api(Role.FRONT_DESK).post(path, WELL))["plan"] is None
