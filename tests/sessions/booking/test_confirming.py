"""A client says that they come: who said it and how, until the time or place changes."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from practice.core.terms import Role
from sessions.booking.domain.confirming import ConfirmSession, decide_confirm
from sessions.calendar.domain.events import (
    SessionCancelled,
    SessionConfirmationTakenBack,
    SessionConfirmed,
)
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import CancelledBy, ConfirmedBy, ConfirmedHow
from tests.builders import build_practice, ok
from tests.dsl import Scenario, given
from tests.sessions.booking.examples import AHEAD, SESSION, booked
from tests.sessions.booking.http import book, local
from tests.sessions.people import open_client

CONFIRMED = SessionConfirmed(session_id=SESSION, by=ConfirmedBy.CLIENT, how=ConfirmedHow.PHONE)
TAKEN_BACK = SessionConfirmationTakenBack(session_id=SESSION, reason="the wrong row")


def confirmed(scenario: Scenario, now: Any = None, **said: Any) -> Scenario:
    command = ConfirmSession(session_id=SESSION, **said)
    more = {} if now is None else {"now": now}
    return scenario.when(lambda state, ctx: decide_confirm(state, command, ctx), **more)


def test_who_said_it_and_how_is_kept_and_the_same_again_changes_nothing() -> None:
    confirmed(given(CALENDAR, booked()), how=ConfirmedHow.PHONE).then(CONFIRMED)
    confirmed(given(CALENDAR, booked(), CONFIRMED), how=ConfirmedHow.PHONE).then()
    by_mail = SessionConfirmed(session_id=SESSION, by=ConfirmedBy.CLIENT, how=ConfirmedHow.MAIL)
    confirmed(given(CALENDAR, booked(), CONFIRMED), how=ConfirmedHow.MAIL).then(by_mail)


def test_a_slip_is_taken_back_with_its_reason() -> None:
    """Ruling 50: by an event with its reason."""
    standing = given(CALENDAR, booked(), CONFIRMED)
    confirmed(standing, confirmed=False, reason="the wrong row").then(TAKEN_BACK)
    again = given(CALENDAR, booked(), CONFIRMED, TAKEN_BACK)
    confirmed(again, confirmed=False, reason="the wrong row").then()
    refused = confirmed(given(CALENDAR, booked(), CONFIRMED), confirmed=False)
    assert refused.rejected("invalid", 400).fields.keys() == {"reason"}


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({}, "how"),
        ({"how": ConfirmedHow.PHONE, "reason": "so"}, "reason"),
        ({"how": ConfirmedHow.PHONE, "occurred_at": AHEAD}, "occurred_at"),
    ],
)
def test_what_cannot_be_is_refused(said: dict[str, Any], field: str) -> None:
    refused = confirmed(given(CALENDAR, booked()), **said)
    assert refused.rejected("invalid", 400).fields.keys() == {field}


def test_only_what_is_booked_and_has_not_ended_is_confirmed() -> None:
    end = AHEAD + timedelta(minutes=60)
    how = {"how": ConfirmedHow.TEXT}
    last = confirmed(given(CALENDAR, booked()), now=end - timedelta(seconds=1), **how)
    assert len(last.events) == 1
    confirmed(given(CALENDAR, booked()), now=end, **how).rejected("session_status", 409)
    off = SessionCancelled(
        session_id=SESSION, by=CancelledBy.CLIENT, reason="a cold", notice_minutes=99
    )
    confirmed(given(CALENDAR, booked(), off), **how).rejected("session_status", 409)


@pytest.mark.django_db
def test_it_holds_for_the_time_and_place_that_are_booked() -> None:
    built = build_practice()
    session = book(built, open_client(built), local(3))
    desk, path = built.api(Role.FRONT_DESK), f"sessions/{session['id']}"
    said = ok(desk.post(f"{path}/confirmation", {"how": "phone", "by": "guardian"}))
    assert (said["confirmed_by"], said["confirmed_how"]) == ("guardian", "phone")
    assert said["confirmed_at"] is not None
    room = {"room_id": str(built.rooms["East 2"].pk), "reason": "a bigger room"}
    assert ok(desk.post(f"{path}/move", room))["confirmed_by"] == "guardian"
    later = ok(desk.post(f"{path}/move", {"starts_at": local(4), "reason": "asked"}))
    assert (later["confirmed_at"], later["confirmed_by"], later["confirmed_how"]) == (None, "", "")
    again = ok(desk.post(f"{path}/confirmation", {"how": "phone", "by": "guardian"}))
    assert again["confirmed_by"] == "guardian"
    slip = ok(desk.post(f"{path}/confirmation", {"confirmed": False, "reason": "wrong row"}))
    assert slip["confirmed_at"] is None
