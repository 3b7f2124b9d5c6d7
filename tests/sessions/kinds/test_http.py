"""Kinds of session over HTTP: kept by the owner, named at booking, asked by open times."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.policy.models import SettingChange
from tests.builders import Built, ok, refused
from tests.sessions.booking.http import body, book, key
from tests.sessions.people import open_client
from tests.sessions.series.http import NOW, held_practice, send, start

pytestmark = pytest.mark.django_db

DAY = "2026-03-17"
EVALUATION = {
    "name": "First evaluation",
    "purpose": "evaluation",
    "default_minutes": 75,
    "lengths": [90, 75],
    "buffer_before": 15,
    "buffer_after": 30,
    "private_room": True,
}


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def kind(built: Built, **changes: Any) -> dict[str, Any]:
    made: dict[str, Any] = ok(
        built.api(Role.OWNER).post("session-kinds", {**EVALUATION, **changes}), 201
    )
    return made


def codes(answer: dict[str, Any]) -> list[str]:
    return [one["code"] for one in answer["warnings"] if one["code"] != "consent.age_unknown"]


def minutes_of(session: dict[str, Any]) -> float:
    begin, end = (datetime.fromisoformat(session[name]) for name in ("starts_at", "ends_at"))
    return (end - begin) / timedelta(minutes=1)


def offered(built: Built, client: Any, **more: Any) -> list[str]:
    query = {"client_id": str(client), "from": DAY, "to": DAY, "page_size": 100, **more}
    query["practitioner_id"] = str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk)
    found = ok(built.api(Role.FRONT_DESK).get("open-times", query))["results"]
    return [one["starts_at"][11:16] for one in found]


def test_a_kind_is_kept_with_what_stood_before(built: Built) -> None:
    made = kind(built)
    assert (made["lengths"], made["hands_on"], made["is_active"]) == ([75, 90], True, True)
    path = f"session-kinds/{made['id']}"
    owner = built.api(Role.OWNER)
    changed = ok(owner.change(path, {"buffer_after": 20}))
    assert (changed["buffer_after"], changed["revision"]) == (20, 2)
    rows = SettingChange.objects.filter(row_id=made["id"]).order_by("id")
    assert [row.after["buffer_after"] for row in rows] == [30, 20]
    assert [one["name"] for one in ok(owner.get("session-kinds"))["results"]] == [made["name"]]
    refused(owner.post("session-kinds", EVALUATION), 409, "already_there")


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"default_minutes": 60}, "default_minutes"),
        ({"lengths": [14, 75]}, "lengths"),
        ({"lengths": [75, 181]}, "lengths"),
        ({"buffer_after": 121}, "buffer_after"),
        ({"purpose": "leisure"}, "purpose"),
    ],
)
def test_a_kind_that_cannot_be_is_refused(
    built: Built, changes: dict[str, Any], field: str
) -> None:
    owner = built.api(Role.OWNER)
    problem = refused(owner.post("session-kinds", {**EVALUATION, **changes}), 400, "invalid")
    assert field in str(problem["errors"])


def test_length_and_purpose_follow_from_the_kind_and_the_session_keeps_it(built: Built) -> None:
    client, made = open_client(built), kind(built)
    room = str(built.rooms["East 1"].pk)
    session = book(
        built, client, start(DAY, "10:00"), kind_id=made["id"], minutes=None, room_id=room
    )
    assert (minutes_of(session), session["purpose"]) == (75, "evaluation")
    assert (session["kind_id"], session["kind_name"]) == (made["id"], "First evaluation")
    assert codes(session) == []
    history = ok(built.api(Role.OWNER).get(f"clients/{client}/history"))["results"]
    assert any("was booked as “First evaluation”" in one["text"] for one in history)
    moved = send(
        built,
        f"sessions/{session['id']}/move",
        {"starts_at": start(DAY, "12:00"), "reason": "Later."},
    )
    assert ok(moved)["kind_id"] == made["id"]
    longer = {"starts_at": start(DAY, "12:00"), "minutes": 60, "reason": "Shorter."}
    refused(send(built, f"sessions/{session['id']}/move", longer), 409, "kind_length")


def test_what_does_not_fit_is_refused_in_plain_words_or_warned_of(built: Built) -> None:
    client, made = open_client(built), kind(built)
    desk = built.api(Role.FRONT_DESK)
    sent = body(built, client, start(DAY, "10:00"), kind_id=made["id"])
    refused(desk.post("sessions", sent, key=key()), 409, "kind_length")
    other = {**sent, "minutes": 75, "purpose": "treatment"}
    refused(desk.post("sessions", other, key=key()), 400, "invalid")
    nobody = {**sent, "kind_id": str(client)}
    refused(desk.post("sessions", nobody, key=key()), 400, "invalid")
    assert codes(book(built, client, start(DAY, "10:00"), kind_id=made["id"], minutes=90)) == [
        "kind_private_room"
    ]
    ok(built.api(Role.OWNER).change(f"session-kinds/{made['id']}", {"is_active": False}))
    refused(desk.post("sessions", {**sent, "minutes": 75}, key=key()), 409, "kind_out_of_use")


def test_a_class_is_planned_self_directed(built: Built) -> None:
    client = open_client(built)
    made = kind(built, name="Class", purpose="treatment", hands_on=False, private_room=False)
    session = book(built, client, start(DAY, "10:00"), kind_id=made["id"], minutes=None)
    assert (session["planned_mode"], session["requested_mode"]) == ("self_directed",) * 2
    sent = body(
        built,
        client,
        start(DAY, "14:00"),
        kind_id=made["id"],
        minutes=75,
        requested_mode="hands_on",
    )
    refused(built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 409, "kind_self_directed")


def test_offers_keep_the_buffers_free_and_a_booking_into_one_is_warned_of(built: Built) -> None:
    """The evaluation is from 11:00 to 12:15 and holds 10:45 to 12:45."""
    client, other, made = open_client(built), open_client(built), kind(built)
    book(built, client, start(DAY, "11:00"), kind_id=made["id"], minutes=None)
    hours = offered(built, other, minutes=60)
    assert "09:45" in hours
    assert "10:00" not in hours
    assert "12:45" in hours
    assert "12:30" not in hours
    with_buffers = offered(built, other, kind_id=made["id"])
    assert "09:00" in with_buffers
    assert "09:15" not in with_buffers
    assert "13:00" in with_buffers
    assert "12:45" not in with_buffers
    assert codes(book(built, other, start(DAY, "12:30"))) == ["buffer"]
    taken = body(built, other, start(DAY, "12:00"))
    refused(built.api(Role.FRONT_DESK).post("sessions", taken, key=key()), 409, "time_taken")


def test_the_clients_own_time_is_the_session_alone(built: Built) -> None:
    client, made = open_client(built), kind(built)
    book(built, client, start(DAY, "11:00"), kind_id=made["id"], minutes=None)
    trainer = built.practitioners[Credential.PERSONAL_TRAINER]
    query = {"client_id": str(client), "from": DAY, "to": DAY, "page_size": 100, "minutes": 60}
    query |= {"practitioner_id": str(trainer.pk), "order": "time"}
    found = ok(built.api(Role.OWNER).get("open-times", query))["results"]
    assert "12:15" in [one["starts_at"][11:16] for one in found]


def test_an_evaluation_is_offered_with_who_evaluates_as_it_can_be_booked(built: Built) -> None:
    client, made = open_client(built), kind(built)
    query = {"client_id": str(client), "from": DAY, "to": DAY, "kind_id": made["id"]}
    found = ok(built.api(Role.OWNER).get("open-times", {**query, "page_size": 100}))
    assert {one["credential"] for one in found["results"]} <= {
        "physical_therapist",
        "occupational_therapist",
    }
    left_out = {one["reasons"][0]["code"] for one in found["excluded"]}
    assert "credential_does_not_evaluate" in left_out
    for offer in found["results"][::9]:
        names = ("practitioner_id", "facility_id", "room_id", "starts_at", "ends_at")
        sent = {"client_id": str(client), "kind_id": made["id"]}
        sent |= {name: offer[name] for name in names}
        session = ok(built.api(Role.OWNER).post("sessions", sent, key=key()), 201)
        assert session["planned_mode"] == offer["mode"]
        assert not {"buffer", "kind_private_room"} & set(codes(session))
        cancelled = {"by": "practice", "reason": "only tried"}
        ok(built.api(Role.OWNER).post(f"sessions/{session['id']}/cancellation", cancelled))
