"""A client who came after a no-show was recorded: the arrival takes it back with its reason
(ruling 50), in one act with the desk's one call."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from functools import cache
from typing import Any

import pytest

from practice.clock import clock
from practice.core.reasons import Rejected
from practice.core.terms import Role
from practice.eventstore.models import StoredEvent
from sessions.booking.domain.attendance import takes_back_no_show
from sessions.booking.domain.commands import RecordArrival
from sessions.calendar.domain.events import SessionMarkedNoShow
from sessions.calendar.domain.state import CALENDAR
from tests.builders import Built, build_practice, ok, refused
from tests.dsl import given
from tests.sessions.booking.examples import SESSION, arrived, booked
from tests.sessions.booking.http import WELL, book
from tests.sessions.booking.test_attendance import YES
from tests.sessions.people import open_client

database = pytest.mark.django_db
LATE = {**WELL, "reason": "Came fifteen minutes late."}
NO_SHOW = SessionMarkedNoShow(session_id=SESSION, reason="no word")


def arrival(reason: str) -> RecordArrival:
    return RecordArrival(session_id=SESSION, answers=YES, reason=reason)


def standing(*events: Any) -> Any:
    return given(CALENDAR, booked(), *events).state.session(SESSION)


def test_a_no_show_is_taken_back_with_a_reason_and_nothing_without_one() -> None:
    assert takes_back_no_show(standing(NO_SHOW), arrival("Came late.")) is True
    for reason in ("", "  "):
        with pytest.raises(Rejected, match="`reason`") as refusal:
            takes_back_no_show(standing(NO_SHOW), arrival(reason))
        assert (refusal.value.code, refusal.value.status) == ("session_status", 409)
        assert "reason" in refusal.value.fields


@pytest.mark.parametrize("events", [(), (arrived(),)])
def test_a_reason_where_no_no_show_stands_is_not_swallowed(events: tuple[Any, ...]) -> None:
    assert takes_back_no_show(standing(*events), arrival("")) is False
    with pytest.raises(Rejected, match="Leave `reason` out") as refusal:
        takes_back_no_show(standing(*events), arrival("Came late."))
    assert refusal.value.code == "nothing_to_correct"


@pytest.fixture
def built(monkeypatch: pytest.MonkeyPatch) -> Iterator[Built]:
    made = build_practice()
    monkeypatch.setattr(made, "api", cache(made.api))
    with clock.at(clock.now().replace(hour=16, minute=0) + timedelta(days=1)):
        yield made


def missed(built: Built) -> tuple[Any, dict[str, Any]]:
    """A client and their session, which is a no-show since its start five minutes later."""
    client_id = open_client(built)
    session = book(built, client_id, (clock.now() + timedelta(minutes=5)).isoformat())
    with clock.at(clock.now() + timedelta(minutes=9)):
        ok(built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/no-show"))
    return client_id, session


def seen(built: Built, session: dict[str, Any]) -> Any:
    return ok(built.api(Role.FRONT_DESK).get(f"sessions/{session['id']}"))


@database
def test_one_call_takes_the_no_show_back_and_the_arrival_in(built: Built) -> None:
    client_id, session = missed(built)
    path = f"sessions/{session['id']}/arrival"
    with clock.at(clock.now() + timedelta(minutes=20)):
        refused(built.api(Role.FRONT_DESK).post(path, WELL), 409, "session_status")
        assert seen(built, session)["status"] == "no_show"
        came = ok(built.api(Role.FRONT_DESK).post(path, LATE))
    assert (came["session"]["status"], came["permissions"]["mode"]) == ("arrived", "hands_on")
    assert came["session"]["ended_reason"] == ""
    history = ok(built.api(Role.PRACTITIONER).get(f"clients/{client_id}/history"))["results"]
    assert LATE["reason"] in str(history)
    before, last = (one["type"] for one in history[-2:])
    assert (before, last) == ("session.status_corrected", "session.arrived")
    requests = StoredEvent.objects.filter(stream=client_id).order_by("-version")[:2]
    assert len({one.request_id for one in requests}) == 1


@database
def test_a_time_that_was_taken_since_is_not_taken_twice(built: Built) -> None:
    _, session = missed(built)
    with clock.at(clock.now() + timedelta(minutes=10)):
        starts = (clock.now() + timedelta(minutes=5)).isoformat()
        book(built, open_client(built), starts)
        path = f"sessions/{session['id']}/arrival"
        problem = refused(built.api(Role.FRONT_DESK).post(path, LATE), 409, "time_taken")
    assert problem["taken"] == ["practitioner"]
    assert seen(built, session)["status"] == "no_show"


@database
def test_what_refuses_the_arrival_leaves_the_no_show(built: Built) -> None:
    _, session = missed(built)
    with clock.at(clock.now() + timedelta(minutes=20)):
        to_come = {**LATE, "occurred_at": (clock.now() + timedelta(hours=1)).isoformat()}
        path = f"sessions/{session['id']}/arrival"
        refused(built.api(Role.FRONT_DESK).post(path, to_come), 400, "invalid")
    assert seen(built, session)["status"] == "no_show"
