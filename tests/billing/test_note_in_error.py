"""A note alone entered in error: its session stands, and what the note drew goes back."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from clients.record.selectors import client_history
from practice.audit.rebuild import compare
from practice.jobs.services import run_due_jobs
from tests.billing.test_api_sessions import authorize
from tests.billing.test_api_summaries import export
from tests.billing.test_session_in_error import signed, visit_of
from tests.billing.world import World
from tests.builders import ok
from tests.sessions.booking.http import key
from tests.sessions.notes.http import Device, whole_note

pytestmark = pytest.mark.django_db
WHY = {"reason": "Written for another client."}


@pytest.fixture
def world(db: None) -> World:
    return World()


def in_error(world: World, session_id: str) -> None:
    ok(world.paula.post(f"sessions/{session_id}/note/entered-in-error", WHY, key=key()))
    run_due_jobs()


def signed_again(world: World, session_id: str, minutes: int) -> None:
    device = Device(world.built, session_id)
    device.read()
    parts = {"minutes": {"stretching": minutes}, "not_counted_minutes": 60 - minutes}
    device.save("PATCH", **whole_note(**parts))
    ok(device.sign(), 201)


def left(world: World, made: dict[str, Any]) -> tuple[int, int]:
    now = ok(world.desk.get(f"authorizations/{made['id']}"))
    return now["visits_left"], now["units_used"]


def test_what_it_used_goes_back_and_the_next_note_uses_its_own(world: World) -> None:
    made = authorize(world)
    session = signed(world, world.client_id)
    assert left(world, made) == (9, 4)
    in_error(world, session)
    assert (left(world, made), world.visits()) == ((10, 0), [])
    texts = [one["text"] for one in client_history(world.client_id)["results"]]
    (told,) = [one for one in texts if "fell away" in one]
    assert told.endswith("no signed note of it stands any more."), "its session stands"
    signed_again(world, session, 30)
    assert left(world, made) == (9, 2)
    assert visit_of(world, world.client_id)["used_units"] == {"STR15": 2}
    assert compare().differences == []


def test_the_other_clients_minutes_are_theirs_alone_until_it_is_written_again(
    world: World,
) -> None:
    """Ruling 57: the practitioner was with both; then only with one, then with both again."""
    other: UUID = world.register(world.built.east.pk)
    authorize(world)
    goes = signed(world, world.client_id)
    signed(world, other, 10, 30)
    run_due_jobs()
    assert visit_of(world, other)["sessions"][0]["shared"] != []
    in_error(world, goes)
    assert visit_of(world, other)["sessions"][0]["shared"] == []
    signed_again(world, goes, 60)
    run_due_jobs()
    assert visit_of(world, other)["sessions"][0]["shared"] != []
    assert compare().differences == []


@pytest.mark.parametrize(
    ("entered", "what"),
    [
        ("note/entered-in-error", "a note was entered in error"),
        ("entry-in-error", "a session was entered in error"),
    ],
)
def test_a_summary_that_was_sent_says_once_what_was_entered_in_error_and_why(
    world: World, entered: str, what: str
) -> None:
    """Ruling 59."""
    made = authorize(world)
    session = signed(world, world.client_id)
    ok(export(world, made), 201)
    path = f"sessions/{session}/{entered}"
    ok(world.paula.post(path, WHY, key=key()))
    (listed,) = ok(world.billing.get(f"clients/{world.client_id}/visit-summaries"))["results"]
    (one,) = listed["corrections"]
    said = [(reason["what"], reason["reason"]) for reason in one["reasons"]]
    assert said == [(what, WHY["reason"])]
