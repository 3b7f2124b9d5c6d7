"""Ruling 54: what a note entered in error had started is taken back; its session stands."""

from __future__ import annotations

from typing import Any

import pytest

from clients.record.selectors import client_history
from practice.audit.rebuild import compare
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import key
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import days_ago, measure
from tests.sessions.stretches.test_home_exercises import teach
from tests.sessions.stretches.test_session_in_error import (
    begun,
    prescribe,
    session_id,
    signed,
    stretch,
)

pytestmark = pytest.mark.django_db
WHY = {"reason": "Written for another client."}


@pytest.fixture
def built() -> Built:
    return build_practice()


def in_error(phone: Device) -> dict[str, Any]:
    done: dict[str, Any] = ok(phone.api.post(f"{phone.path}/entered-in-error", WHY, key=key()))
    return done


def test_a_stretch_that_the_note_started_is_prescribed_until_the_next_note_shows_it(
    built: Built,
) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id)
    phone = signed(built, client_id)
    assert in_error(phone)["warnings"] == []
    now = stretch(built, client_id, made)
    assert (now["status"], now["started_at"]) == ("prescribed", None)
    assert now["start_in_error"] == WHY["reason"]
    phone.read()
    phone.save(**whole_note(lines=[line()]))
    ok(phone.sign(), 201)
    now = stretch(built, client_id, made)
    assert (now["status"], now["start_in_error"]) == ("active", "")
    assert compare().differences == []


def test_where_another_note_shows_it_as_done_it_started_then(built: Built) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id)
    wrong, right = signed(built, client_id, -3), signed(built, client_id, -2)
    in_error(wrong)
    now = stretch(built, client_id, made)
    assert now["status"] == "active"
    assert now["started_at"] == begun(right).isoformat().replace("+00:00", "Z")


def test_where_a_discharge_rests_on_the_start_a_person_is_asked_once(built: Built) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id)
    phone = signed(built, client_id, -3)
    measure(phone.api, client_id, 180, side="left", occurred_at=days_ago(1))
    ok(phone.api.post(f"stretches/{made}/discharge", {"reason": "Enough for now."}))
    assert [one["code"] for one in in_error(phone)["warnings"]] == ["start_entered_in_error"]
    now = stretch(built, client_id, made)
    assert (now["status"], now["start_in_error"]) == ("discharged", WHY["reason"])


def test_a_home_exercise_assigned_in_the_session_stands_with_it(built: Built) -> None:
    client_id = open_client(built)
    phone = signed(built, client_id)
    given = teach(built, client_id, session_id=session_id(phone))
    in_error(phone)
    rows = ok(phone.api.get(f"clients/{client_id}/home-exercises"))["results"]
    assert [(one["id"], one["discontinued_reason"]) for one in rows] == [(given["id"], "")]


def test_with_its_session_a_start_that_stands_is_told_once(built: Built) -> None:
    client_id = open_client(built)
    made = prescribe(built, client_id)
    phone = signed(built, client_id, -3)
    measure(phone.api, client_id, 180, side="left", occurred_at=days_ago(1))
    ok(phone.api.post(f"stretches/{made}/discharge", {"reason": "Enough for now."}))
    ok(phone.api.post(f"sessions/{session_id(phone)}/entry-in-error", WHY, key=key()))
    texts = [one["text"] for one in client_history(client_id)["results"]]
    assert len([one for one in texts if one.startswith("The start of a stretch was by")]) == 1
