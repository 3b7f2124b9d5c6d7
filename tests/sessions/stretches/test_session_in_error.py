"""Rulings 50 and 54: what a session entered in error had brought is taken back, over HTTP."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import msgspec
import pytest

from clients.record.selectors import client_history
from practice.audit.rebuild import compare
from practice.clock import clock
from practice.core.terms import Mode, Role, Side, Technique
from sessions.notes.domain.events import NoteLine
from sessions.stretches.domain.session_in_error import shows_done
from tests.builders import Api, Built, build_practice, ok, refused
from tests.sessions.booking.http import WELL, book, key, local, took_place
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client
from tests.sessions.stretches.examples import Story
from tests.sessions.stretches.stories import (
    STRETCH,
    days_ago,
    discharged,
    first_open,
    measure,
    moment,
    reading,
)
from tests.sessions.stretches.test_home_exercises import exercise, teach

pytestmark = pytest.mark.django_db
WHY = {"reason": "It was another client."}


@pytest.fixture
def built() -> Built:
    return build_practice()


def prescribe(built: Built, client_id: UUID, **more: Any) -> str:
    api = built.api(Role.PRACTITIONER)
    sent = {"stretch": STRETCH, "side": "left", "facility_id": str(built.east.pk), **more}
    sent = {"occurred_at": days_ago(20), **sent}
    made: str = ok(api.post(f"clients/{client_id}/stretches", sent), 201)["id"]
    return made


def signed(built: Built, client_id: UUID, days: int = -1, **content: Any) -> Device:
    """A signed note of a session that took place; the prescribed stretch is among its lines."""
    sent = {"attendance": "attended", "answers": WELL}
    phone = Device(built, book(built, client_id, local(days), **sent)["id"])
    phone.save(**{**whole_note(lines=[line()]), **content})
    ok(phone.sign(), 201)
    return phone


def session_id(phone: Device) -> str:
    return phone.path.split("/")[1]


def begun(phone: Device) -> datetime:
    return moment(phone.read()["signed"]["started_at"])


def in_error(phone: Device) -> Any:
    path = f"sessions/{session_id(phone)}/entry-in-error"
    return ok(phone.api.post(path, WHY, key=key()))


def stretch(built: Built, client_id: UUID, prescription_id: str) -> dict[str, Any]:
    api: Api = built.api(Role.PRACTITIONER)
    rows = ok(api.get(f"clients/{client_id}/stretches"))["results"]
    (found,) = (one for one in rows if one["id"] == prescription_id)
    return dict(found)


def test_a_stretch_that_the_note_started_is_prescribed_again_and_says_why(built: Built) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id)
    phone = signed(built, client_id)
    assert stretch(built, client_id, made)["status"] == "active"
    assert in_error(phone)["warnings"] == []
    now = stretch(built, client_id, made)
    assert (now["status"], now["started_at"], now["active_since"]) == ("prescribed", None, None)
    assert (now["start_in_error"], now["prompts"]) == (WHY["reason"], [])
    assert any("is taken back" in one["text"] for one in client_history(client_id)["results"])
    again = signed(built, client_id, -2)
    now = stretch(built, client_id, made)
    assert (now["status"], now["start_in_error"]) == ("active", "")
    assert moment(now["started_at"]) == begun(again)
    assert compare().differences == []


def test_where_another_note_shows_it_as_done_it_started_then(built: Built) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id)
    wrong, right = signed(built, client_id, -3), signed(built, client_id, -2)
    assert moment(stretch(built, client_id, made)["started_at"]) == begun(wrong)
    in_error(wrong)
    now = stretch(built, client_id, made)
    assert (now["status"], now["start_in_error"]) == ("active", "")
    assert moment(now["started_at"]) == begun(right)
    in_error(right)
    assert stretch(built, client_id, made)["status"] == "prescribed", "the first one says nothing"


def test_where_a_discharge_rests_on_the_start_it_stands_and_a_person_is_asked(built: Built) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id)
    phone = signed(built, client_id, -3)
    api = built.api(Role.PRACTITIONER)
    measure(api, client_id, 180, side="left", occurred_at=days_ago(1))
    ok(api.post(f"stretches/{made}/discharge", {"reason": "Enough for now."}))
    asked = in_error(phone)["warnings"]
    assert [one["code"] for one in asked] == ["start_entered_in_error"]
    now = stretch(built, client_id, made)
    assert (now["status"], now["start_in_error"]) == ("discharged", WHY["reason"])
    assert [one["code"] for one in now["prompts"]] == ["start_entered_in_error"]
    ok(api.post(f"stretches/{made}/end", {"reason": "It was another client."}))
    assert stretch(built, client_id, made)["prompts"] == []


def test_a_stretch_that_was_ended_since_stays_ended(built: Built) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id)
    phone = signed(built, client_id, -3)
    ok(phone.api.post(f"stretches/{made}/end", {"reason": "No need."}))
    in_error(phone)
    now = stretch(built, client_id, made)
    assert (now["status"], now["prompts"]) == ("ended", [])
    assert now["start_in_error"] == WHY["reason"]


@pytest.mark.parametrize("mode", list(Mode))
def test_a_line_shows_its_stretch_as_done_unless_it_was_not_done(mode: Mode) -> None:
    story = Story()
    key = story.prescribe(date(2026, 3, 2))
    one = story.programme.prescriptions[key]
    note_line = NoteLine(
        line_id=uuid4(),
        stretch=one.prescribed.stretch,
        technique=Technique.ACTIVE_ISOLATED,
        side=one.prescribed.side,
        mode=mode,
    )
    assert shows_done([note_line], one) is (mode is not Mode.NOT_TODAY)
    other = msgspec.structs.replace(note_line, side=Side.LEFT)
    assert not shows_done([other], one)


def test_a_stretch_started_by_hand_outside_the_session_stays(built: Built) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id)
    ok(built.api(Role.PRACTITIONER).post(f"stretches/{made}/start", {"occurred_at": days_ago(9)}))
    in_error(signed(built, client_id))
    assert stretch(built, client_id, made)["status"] == "active"


def test_readings_of_the_session_are_in_error_and_the_re_check_they_answered_is_open_again(
    built: Built,
) -> None:
    """Ruling 54: found by the session, not reading by reading."""
    client_id = open_client(built)
    discharged(built, client_id)
    waiting = first_open(built, client_id)
    phone = signed(built, client_id)
    of_session = {"session_id": session_id(phone)}
    api, path = phone.api, f"clients/{client_id}"
    ok(api.post(f"{path}/range-of-motion", reading(118, **of_session), key=key()), 201)
    posture = {"finding": "hitching", "severity": "mild", **of_session}
    ok(api.post(f"{path}/posture", posture), 201)
    arms = {"interval_cm": 4, "left": [16, 18, 21, 24], "right": [16, 18, 21, 24]}
    ok(api.post(f"{path}/circumferences", {**arms, **of_session}), 201)
    (row,) = ok(api.get(f"{path}/stretches"))["results"]
    assert row["status"] == "active", "the re-check was lost"
    in_error(phone)
    (row,) = ok(api.get(f"{path}/stretches"))["results"]
    assert row["status"] == "discharged"
    assert first_open(built, client_id)["id"] == waiting["id"]
    readings = ok(api.get(f"{path}/range-of-motion"))["results"]
    assert [one["degrees"] for one in readings] == [180]
    assert ok(api.get(f"{path}/posture"))["results"] == []
    assert ok(api.get(f"{path}/circumferences")) == []
    assert compare().differences == []


def test_a_home_exercise_assigned_in_the_session_is_discontinued_and_others_stay(
    built: Built,
) -> None:
    client_id = open_client(built)
    phone = signed(built, client_id)
    given = teach(built, client_id, session_id=session_id(phone))
    other = teach(built, client_id, side="left")
    assert given["session_id"] == session_id(phone)
    in_error(phone)
    rows = ok(phone.api.get(f"clients/{client_id}/home-exercises"))["results"]
    reasons = {one["id"]: one["discontinued_reason"] for one in rows}
    assert reasons == {given["id"]: WHY["reason"], other["id"]: ""}


def test_a_home_exercise_names_a_session_of_the_client(built: Built) -> None:
    one, other = open_client(built), open_client(built)
    theirs = took_place(built, other)["id"]
    sent = exercise(session_id=theirs)
    refused(
        built.api(Role.PRACTITIONER).post(f"clients/{one}/home-exercises", sent), 400, "invalid"
    )


def test_a_line_sent_late_with_an_addendum_starts_its_stretch_at_the_sessions_begin(
    built: Built,
) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id)
    phone = signed(built, client_id, lines=[])
    assert stretch(built, client_id, made)["status"] == "prescribed"
    tablet = Device(built, session_id(phone), "tablet")
    saved = tablet.save(lines=[line(mode="self_directed")])
    ok(phone.api.post(f"{phone.path}/addenda", {"send_unsent": saved["revision"]}), 201)
    now = stretch(built, client_id, made)
    assert (now["status"], moment(now["started_at"])) == ("active", begun(phone))
    in_error(phone)
    assert stretch(built, client_id, made)["status"] == "prescribed"


def test_an_addendum_without_lines_starts_nothing(built: Built) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id)
    phone = signed(built, client_id, lines=[])
    ok(phone.api.post(f"{phone.path}/addenda", {"text": "Left arm."}), 201)
    assert stretch(built, client_id, made)["status"] == "prescribed"


def test_the_day_before_the_prescription_starts_it_no_earlier_than_it_was_prescribed(
    built: Built,
) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id, occurred_at=(clock.now() - timedelta(hours=1)).isoformat())
    signed(built, client_id)
    now = stretch(built, client_id, made)
    assert now["started_at"] == now["prescribed_at"]
