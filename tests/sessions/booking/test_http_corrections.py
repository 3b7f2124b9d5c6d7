"""A slip of the desk over HTTP: set right, with both in the history (ruling 50)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from functools import cache
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import WELL, body, book, key, took_place
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def built(monkeypatch: pytest.MonkeyPatch) -> Iterator[Built]:
    made = build_practice()
    monkeypatch.setattr(made, "api", cache(made.api))
    noon = clock.now().replace(hour=16, minute=0) + timedelta(days=1)
    with clock.at(noon):
        yield made


def soon(built: Built, client_id: Any, minutes: int = 5) -> dict[str, Any]:
    return book(built, client_id, (clock.now() + timedelta(minutes=minutes)).isoformat())


def correct(api: Any, session: dict[str, Any], **more: Any) -> Any:
    sent = {"status": "booked", "reason": "Ticked on the wrong row.", **more}
    return api.post(f"sessions/{session['id']}/correction", sent)


def history(built: Built, client_id: Any) -> str:
    rows = ok(built.api(Role.PRACTITIONER).get(f"clients/{client_id}/history"))["results"]
    return str(rows)


def test_a_no_show_that_comes_five_minutes_late(built: Built) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    session = soon(built, client_id)
    path = f"sessions/{session['id']}"
    with clock.at(clock.now() + timedelta(minutes=9)):
        ok(desk.post(f"{path}/no-show", {"reason": "No word."}))
        without = refused(desk.post(f"{path}/arrival", WELL), 409, "session_status")
        assert "`reason`" in without["detail"]
        again = ok(correct(desk, session, reason="Came five minutes late."))
        assert (again["status"], again["ended_reason"]) == ("booked", "")
        came = ok(desk.post(f"{path}/arrival", WELL))
        assert (came["session"]["status"], came["permissions"]["mode"]) == ("arrived", "hands_on")
    told = history(built, client_id)
    assert "did not attend" in told
    assert "Came five minutes late." in told


def test_arrived_on_the_wrong_row_leaves_no_answers_behind(built: Built) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    session = soon(built, client_id)
    ok(desk.post(f"sessions/{session['id']}/arrival", {**WELL, "hands_on_today": "no"}))
    back = ok(correct(desk, session))
    assert (back["status"], back["arrived_at"], back["hands_on_today"], back["mode"]) == (
        "booked",
        None,
        "unanswered",
        "hands_on",
    )
    assert back["reasons"] == session["reasons"]
    refused(correct(desk, session), 409, "nothing_to_correct")


def test_a_cancellation_by_mistake_stands_again_unless_its_time_was_taken(built: Built) -> None:
    client_id, other, desk = open_client(built), open_client(built), built.api(Role.FRONT_DESK)
    session = soon(built, client_id, minutes=90)
    path = f"sessions/{session['id']}/cancellation"
    ok(desk.post(path, {"by": "client", "reason": "Cold."}))
    assert ok(correct(desk, session))["status"] == "booked"
    ok(desk.post(path, {"by": "client", "reason": "Cold."}))
    taken = soon(built, other, minutes=90)
    problem = refused(correct(desk, session), 409, "time_taken")
    assert problem["taken"] == ["practitioner"]
    ok(desk.post(f"sessions/{taken['id']}/cancellation", {"by": "practice", "reason": "Moved."}))
    assert ok(correct(desk, session))["cancelled_by"] == ""


def test_a_second_cancellation_for_another_cause_is_told_what_stands_ruling_b7(
    built: Built,
) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    session = soon(built, client_id, minutes=90)
    path = f"sessions/{session['id']}/cancellation"
    first = {"by": "client", "reason": "Cold."}
    ok(desk.post(path, first))
    ok(desk.post(path, first))
    for other in ({**first, "by": "practice"}, {**first, "reason": "Work."}):
        problem = refused(desk.post(path, other), 409, "already_cancelled")
        assert (problem["by"], problem["cause"]) == ("client", "Cold.")
    put_right = {"status": "cancelled", "by": "practice", "cause": "Therapist ill."}
    now = ok(correct(desk, session, **put_right))
    assert (now["cancelled_by"], now["ended_reason"], now["notice_minutes"]) == (
        "practice",
        "Therapist ill.",
        90,
    )
    told = history(built, client_id)
    assert "Cold." in told
    assert "Therapist ill." in told


def test_a_cancellation_told_before_and_entered_after_has_its_true_notice(built: Built) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    session = soon(built, client_id, minutes=60)
    told_at = clock.now()
    with clock.at(told_at + timedelta(hours=4)):
        path, sent = f"sessions/{session['id']}/cancellation", {"by": "client", "reason": "Cold."}
        refused(desk.post(path, sent), 409, "session_over")
        late = ok(desk.post(path, {**sent, "occurred_at": told_at.isoformat()}))
    assert late["notice_minutes"] == 60


def test_a_late_entry_for_the_wrong_client_leaves_the_lists_and_frees_its_time(
    built: Built,
) -> None:
    client_id, right, desk = open_client(built), open_client(built), built.api(Role.FRONT_DESK)
    wrong = took_place(built, client_id)
    path = f"sessions/{wrong['id']}/entry-in-error"
    refused(desk.post(path, {}), 400, "invalid")
    out = ok(desk.post(path, {"reason": "It was another client."}))
    assert (out["status"], out["arrived_at"]) == ("entered_in_error", None)
    assert ok(desk.get("sessions", {"client_id": str(client_id)}))["results"] == []
    asked = {"client_id": str(client_id), "status": "entered_in_error"}
    assert [one["id"] for one in ok(desk.get("sessions", asked))["results"]] == [wrong["id"]]
    sent = {**body(built, right, wrong["starts_at"]), "attendance": "attended", "answers": WELL}
    made = ok(desk.post("sessions", sent, key=key()), 201)
    assert made["overlaps"] == []
    assert "entered in error" in history(built, client_id)


def test_a_correction_of_what_has_changed_since_is_412(built: Built) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    session = soon(built, client_id)
    ok(desk.post(f"sessions/{session['id']}/arrival", WELL))
    sent = {"status": "booked", "reason": "Wrong row."}
    path = f"sessions/{session['id']}/correction"
    refused(desk.post(path, sent, match=session["version"]), 412, "stale_version")
