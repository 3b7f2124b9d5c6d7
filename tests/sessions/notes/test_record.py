"""Sessions and notes in the client's history, in its record as known, and in the read tables."""

from __future__ import annotations

from datetime import timedelta

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from clients.record.selectors import client_as_known, client_history
from practice.audit.rebuild import compare
from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import book, local, took_place
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def test_every_event_of_a_session_reads_as_a_sentence_and_the_tables_equal_their_replay(
    built: Built,
) -> None:
    client = open_client(built)
    session = took_place(built, client)
    device, desk = Device(built, session["id"]), built.api(Role.FRONT_DESK)
    ok(device.api.post(f"sessions/{session['id']}/opening"))
    ok(device.api.post(f"sessions/{session['id']}/stop", {"minute": 50}))
    device.save(**whole_note(lines=[line()]))
    ok(device.sign(), 201)
    ok(device.api.post(f"{device.path}/addenda", {"text": "Left arm."}), 201)
    flagged, gone = book(built, client, local(3)), book(built, client, local(5))
    ok(desk.post(f"sessions/{flagged['id']}/move", {"starts_at": local(4), "minutes": 30,
                                                    "reason": "The client asked."}))  # fmt: skip
    ok(
        desk.post(
            f"sessions/{gone['id']}/cancellation", {"by": "client", "reason": "Away that day."}
        )
    )
    book(built, client, local(-3), attendance="no_show")
    tell(built, client, ConsentWithdrawn(consent_id=None, reason=""))
    sentences = [one["text"] for one in client_history(client)["results"]]
    for words in (
        "was entered late, hands-on",
        "The client arrived (hands-on today: yes)",
        "The session was opened: all hands-on.",
        "The client stopped touch at minute 50.",
        "was signed: 60 minutes.",
        "The session is completed.",
        "A note was added to.",
        "A session was moved or planned anew",
        "The client cancelled a session",
        "The client did not attend.",
        "narrowed from hands-on to self-directed",
    ):
        assert any(words in text for text in sentences), words
    found = compare()
    assert (found.streams, found.differences) == (1, [])


def test_the_record_as_known_on_a_day_holds_the_sessions_known_then(built: Built) -> None:
    client = open_client(built)
    first = book(built, client, local(3))
    between = clock.now()
    with clock.at(between + timedelta(minutes=1)):
        second = book(built, client, local(5))
    then = client_as_known(client, known_at=between)["more"]["sessions"]
    now = client_as_known(client)["more"]["sessions"]
    assert set(then) == {first["id"]}
    assert set(now) == {first["id"], second["id"]}
    assert now[first["id"]]["status"] == "booked"
