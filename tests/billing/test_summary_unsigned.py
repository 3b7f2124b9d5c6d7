"""A summary cannot be taken back: whoever sends it is told of sessions without a signed note."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from sessions.calendar.models import Session
from tests.billing.test_api_sessions import authorize
from tests.billing.test_session_in_error import signed
from tests.billing.world import World
from tests.builders import ok, refused
from tests.sessions.booking.http import WELL, book, local
from tests.sessions.notes.http import Device, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(db: None) -> World:
    return World()


def told(world: World, made: dict[str, Any], key: str, **period: str) -> list[str]:
    """What a summary says of sessions without a signed note."""
    path = f"authorizations/{made['id']}/visit-summary"
    sent = {"recipient": "Lakeshore claims", "purpose": "review", **period}
    answer = ok(world.billing.post(path, sent, key=key), 201)
    return [one["text"] for one in answer["warnings"] if one["code"] == "notes_unsigned"]


def came(world: World, client_id: UUID, hour: int, days: int = -1, **more: Any) -> str:
    found = book(world.built, client_id, local(days, hour), **more)
    return str(found["id"])


def test_a_session_without_a_signed_note_is_named_until_it_is_signed(world: World) -> None:
    made = authorize(world)
    signed(world, world.client_id)
    here: dict[str, Any] = {"attendance": "attended", "answers": WELL}
    came(world, open_client(world.built), 13, **here)
    came(world, world.client_id, 10, days=1)
    assert told(world, made, "k1") == [], "another client's, and one still to come"
    late = came(world, world.client_id, 14, **here)
    day = Session.objects.get(pk=late).local_date
    (text,) = told(world, made, "k2")
    assert text.startswith("1 session of this period")
    assert str(day) in text
    device = Device(world.built, late)
    device.save(**whole_note(minutes={"stretching": 60}, not_counted_minutes=0))
    ok(device.sign(), 201)
    assert told(world, made, "k3") == []


def test_a_session_outside_the_period_is_not_named(world: World) -> None:
    made = authorize(world)
    yesterday = Session.objects.get(pk=signed(world, world.client_id)).local_date
    came(world, world.client_id, 10, days=-3, attendance="attended", answers=WELL)
    assert told(world, made, "k1", starts_on=yesterday.isoformat()) == []


def test_who_is_refused_for_want_of_visits_is_told_of_the_unsigned_before_they_state_none(
    world: World,
) -> None:
    made = authorize(world)
    late = came(world, world.client_id, 14, attendance="attended", answers=WELL)
    sent = {"recipient": "Lakeshore claims", "purpose": "review"}
    path = f"authorizations/{made['id']}/visit-summary"
    problem = refused(world.billing.post(path, sent, key="k1"), 409, "no_visits")
    day = Session.objects.get(pk=late).local_date
    assert "1 session of this period to which the client came" in problem["detail"]
    assert str(day) in problem["detail"]
    assert [one["code"] for one in problem["reasons"]] == ["notes_unsigned"]
