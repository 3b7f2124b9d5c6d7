"""Booking and signing over HTTP as billing sees them."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from practice.clock import clock
from tests.billing.practice_rows import FIRST
from tests.billing.world import World
from tests.builders import ok, refused
from tests.sessions.booking.http import book, key, local, took_place
from tests.sessions.notes.http import Device, whole_note

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return World()


def authorize(world: World, **changes: Any) -> dict[str, Any]:
    """An authorization around today."""
    today = clock.now().date()
    period = {
        "starts_on": (today - timedelta(days=30)).isoformat(),
        "ends_on": (today + timedelta(days=90)).isoformat(),
    }
    return world.authorize(**{**period, **changes})


def test_a_signed_note_is_drawn_and_an_addendum_draws_again(world: World) -> None:
    made = authorize(world)
    session = took_place(world.built, world.client_id)
    device = Device(world.built, session["id"])
    device.save("PATCH", **whole_note(minutes={"stretching": 38, "cardio": 12}))
    ok(device.sign(), 201)
    now = ok(world.desk.get(f"authorizations/{made['id']}"))
    assert (now["visits_left"], now["units_used"]) == (9, 3)
    (visit,) = world.visits()
    assert visit["used_units"] == {"STR15": 2, "CAR15": 1}
    assert visit["sessions"][0]["session_id"] == session["id"]
    longer = datetime.fromisoformat(session["starts_at"]) + timedelta(minutes=63)
    addendum = {
        "text": "Cardio was 25 minutes.",
        "corrected_minutes": {"cardio": 25},
        "not_counted_minutes": 0,
        "ended_at": longer.isoformat(),
        "confirm_more_than_booked": True,
    }
    ok(world.paula.post(f"sessions/{session['id']}/note/addenda", addendum, key=key()), 201)
    (again,) = world.visits()
    assert (again["id"], again["used_units"]) == (visit["id"], {"STR15": 2, "CAR15": 2})
    now = ok(world.desk.get(f"authorizations/{made['id']}"))
    assert (now["visits_left"], now["units_used"]) == (9, 4)


def codes(session: dict[str, Any]) -> set[str]:
    return {one["code"] for one in session["warnings"]}


def test_a_booking_is_warned_as_the_visits_run_out_and_never_refused(world: World) -> None:
    authorize(world, visits=4)
    seen = [codes(book(world.built, world.client_id, local(day))) for day in (2, 4, 6, 8, 10)]
    assert [
        sorted(one & {"authorization_running_out", "authorization_used_up"}) for one in seen
    ] == [
        [],
        ["authorization_running_out"],
        ["authorization_running_out"],
        ["authorization_running_out"],
        ["authorization_used_up"],
    ]


def test_a_booking_warns_of_the_payers_yearly_threshold(world: World) -> None:
    """Ruling 59."""
    one = {"measure": "units", "value": "2", "source": "letter of 2026-01-04"}
    body = {"in_force_from": "2020-01-01", "yearly_thresholds": [one]}
    ok(world.billing.patch(f"payers/{world.payer.pk}", body, match=world.payer_revision()))
    authorize(world)
    number = (datetime.fromisoformat(local(2)).date() - FIRST).days
    names = {"yearly_threshold_near", "yearly_threshold_crossed"}
    assert codes(book(world.built, world.client_id, local(2))) & names == set()
    world.sign(number)
    assert codes(book(world.built, world.client_id, local(2, hour=14))) & names == {
        "yearly_threshold_near"
    }
    world.sign(number)
    assert codes(book(world.built, world.client_id, local(2, hour=16))) & names == {
        "yearly_threshold_crossed"
    }


def test_a_booking_outside_the_period_is_warned(world: World) -> None:
    today = clock.now().date()
    authorize(world, ends_on=(today + timedelta(days=5)).isoformat())
    assert "authorization_expiring" in codes(book(world.built, world.client_id, local(3)))
    assert "authorization_outside_period" in codes(book(world.built, world.client_id, local(9)))


def test_a_signed_session_entered_in_error_gives_its_visit_back_ruling_50(world: World) -> None:
    made = authorize(world)
    session = took_place(world.built, world.client_id)
    device = Device(world.built, session["id"])
    device.save("PATCH", **whole_note(minutes={"stretching": 38, "cardio": 12}))
    ok(device.sign(), 201)
    path, sent = f"sessions/{session['id']}/entry-in-error", {"reason": "It was another client."}
    refused(world.desk.post(path, sent), 403, "not_your_session")
    assert ok(world.paula.post(path, sent))["status"] == "entered_in_error"
    assert world.visits() == []
    now = ok(world.desk.get(f"authorizations/{made['id']}"))
    assert (now["visits_left"], now["units_used"]) == (10, 0)
