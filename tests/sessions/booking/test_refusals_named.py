"""Refusals say which session is in the way, and what undoes a slip."""

from __future__ import annotations

from datetime import datetime

import pytest
from django.db import IntegrityError

from practice.core.reasons import Rejected
from practice.core.terms import Role
from sessions.booking.domain.corrections import MOVE_THAT_FIRST
from sessions.booking.domain.time_taken import CHOOSE_ANOTHER
from sessions.booking.services.conflicts import conflicts_refused
from sessions.calendar.guards import GUARDS
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.examples import SESSION, slot
from tests.sessions.booking.http import WELL, body, book, key, local
from tests.sessions.people import open_client, registered

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def test_a_taken_time_names_the_session_and_its_client(built: Built) -> None:
    taken = book(built, registered(built, built.east, name="Nora"), local(4))
    sent = body(built, open_client(built), local(4, 10, 30))
    problem = refused(
        built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 409, "time_taken"
    )
    (conflict,) = problem["conflicts"]
    assert (conflict["session_id"], conflict["taken"]) == (taken["id"], "practitioner")
    assert conflict["client_name"].startswith("Nora")


def test_of_a_session_that_the_caller_may_not_see_only_the_time_is_told(built: Built) -> None:
    """The desk belongs to the east; Paula works in the west then."""
    desk = built.staff[Role.FRONT_DESK]
    desk.facilities.add(built.west)
    book(built, registered(built, built.west), local(4), facility_id=str(built.west.pk))
    desk.facilities.remove(built.west)
    sent = body(built, open_client(built), local(4))
    problem = refused(
        built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 409, "time_taken"
    )
    (conflict,) = problem["conflicts"]
    assert (conflict["session_id"], conflict["client_name"]) == (None, "")
    assert datetime.fromisoformat(conflict["starts_at"]) == datetime.fromisoformat(local(4))


def test_a_correction_whose_time_is_taken_names_who_took_it_and_what_to_do(built: Built) -> None:
    session = book(built, open_client(built), local(4))
    desk, path = built.api(Role.FRONT_DESK), f"sessions/{session['id']}"
    ok(desk.post(f"{path}/cancellation", {"by": "client", "reason": "A cold"}, key=key()))
    other = book(built, open_client(built), local(4))
    sent = {"status": "booked", "reason": "It was another client."}
    problem = refused(desk.post(f"{path}/correction", sent, key=key()), 409, "time_taken")
    assert [one["session_id"] for one in problem["conflicts"]] == [other["id"]]
    assert "Choose another time" not in problem["detail"]
    assert "Move or cancel that session first" in problem["detail"]


def test_the_guard_of_the_database_says_what_a_correction_can_do() -> None:
    """Where two come at the same moment, the guard refuses; in the words of whoever asked."""
    for todo in (CHOOSE_ANOTHER, MOVE_THAT_FIRST):
        with pytest.raises(Rejected) as caught, conflicts_refused(slot(), SESSION, todo):
            raise IntegrityError(next(iter(GUARDS)))
        assert caught.value.detail.endswith(todo)


def test_a_second_cancellation_is_told_what_stands_in_two_sentences(built: Built) -> None:
    session = book(built, open_client(built), local(4))
    desk, path = built.api(Role.FRONT_DESK), f"sessions/{session['id']}/cancellation"
    ok(desk.post(path, {"by": "client", "reason": "Has a cold"}, key=key()))
    again = {"by": "practice", "reason": "The room is flooded."}
    problem = refused(desk.post(path, again, key=key()), 409, "already_cancelled")
    assert problem["detail"] == (
        "The client has called it off already, for this cause: Has a cold. If who called it off or"
        f" the cause is wrong, put it right with POST /sessions/{session['id']}/correction and say"
        " why."
    )


def test_what_undoes_an_arrival_or_a_cancellation_is_named(built: Built) -> None:
    session = book(built, open_client(built), local(4))
    desk, path = built.api(Role.FRONT_DESK), f"sessions/{session['id']}"
    undone = f"POST /sessions/{session['id']}/correction with `status` `booked`."
    ok(desk.post(f"{path}/cancellation", {"by": "client", "reason": "A cold"}, key=key()))
    late = refused(desk.post(f"{path}/arrival", WELL, key=key()), 409, "session_status")
    assert late["detail"].endswith(undone)
    move = {"starts_at": local(5), "reason": "The client asked."}
    moved = refused(desk.post(f"{path}/move", move, key=key()), 409, "session_status")
    way_out = f"cannot be moved. If that is a slip, put it right first: {undone}"
    assert moved["detail"].endswith(way_out)
