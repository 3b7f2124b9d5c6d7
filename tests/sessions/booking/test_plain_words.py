"""What people read has the words of people, not those of the program."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from clients.health.domain.content import HistoryContent
from clients.health.domain.events import HistoryReported
from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.terms import Role
from sessions.calendar.domain.session_state import STATUS_TEXT, SessionStatus
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import WELL, body, book, key, local
from tests.sessions.notes.http import Device
from tests.sessions.people import open_client, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def test_every_status_has_words() -> None:
    assert set(STATUS_TEXT) == set(SessionStatus)
    assert not [text for text in STATUS_TEXT.values() if "_" in text]


@pytest.mark.parametrize(
    ("path", "sent", "code"),
    [
        ("arrival", WELL, "session_status"),
        ("move", {"starts_at": local(4), "reason": "The client asked."}, "session_status"),
        ("correction", {"status": "booked", "reason": "The wrong row."}, "nothing_to_correct"),
    ],
)
def test_what_cannot_be_done_any_more_is_refused_in_words(
    built: Built, path: str, sent: dict[str, Any], code: str
) -> None:
    desk = built.api(Role.FRONT_DESK)
    session = book(built, open_client(built), (clock.now() + timedelta(minutes=5)).isoformat())
    ok(desk.post(f"sessions/{session['id']}/entry-in-error", {"reason": "Wrong client."}))
    problem = refused(desk.post(f"sessions/{session['id']}/{path}", sent), 409, code)
    assert problem["detail"].startswith("The session is entered in error")
    assert problem["session_status"] == "entered_in_error"
    answer = Device(built, session["id"]).send(plan="Friday")
    assert "The session is entered in error" in refused(answer, 409, "session_status")["detail"]


def test_as_what_it_can_be_booked_is_said_in_words(built: Built) -> None:
    client = open_client(built)
    desk = built.api(Role.FRONT_DESK)
    ok(desk.post(f"clients/{client}/touch-consent/withdrawal", {}))
    sent = body(built, client, local(3), requested_mode="hands_on")
    problem = refused(desk.post("sessions", sent, key=key()), 409, "not_hands_on")
    assert "booked as self-directed" in problem["detail"]
    assert problem["bookable_as"] == ["self_directed"]


def test_a_neck_that_was_not_asked_about_is_told_in_words(built: Built) -> None:
    client = open_client(built)
    reported = HistoryReported(report_id=uuid4(), content=HistoryContent())
    tell(built, client, DatedEvent(reported, clock.now()))
    rows = ok(built.api(Role.OWNER).get(f"clients/{client}/history"))["results"]
    assert [one["text"] for one in rows if "neck not asked" in one["text"]]
    assert not [one["text"] for one in rows if "not_asked" in one["text"]]
