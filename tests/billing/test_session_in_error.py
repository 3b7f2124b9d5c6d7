"""Rulings 50 and 57: a signed session entered in error leaves no visit and shares no minute."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from billing.authorizations.models import Visit
from billing.visits.domain.entered_in_error import without_session
from clients.record.selectors import client_history
from practice.audit.rebuild import compare
from practice.jobs.services import run_due_jobs
from sessions.calendar.domain.events import SessionEnteredInError
from tests.billing.test_api_sessions import authorize
from tests.billing.test_api_summaries import erase
from tests.billing.test_shared_time import session_of, two_disciplines
from tests.billing.world import World
from tests.builders import ok, refused
from tests.sessions.booking.http import WELL, book, key, local
from tests.sessions.notes.http import Device, whole_note

pytestmark = pytest.mark.django_db
WHY = {"reason": "It was another client."}


@pytest.fixture
def world(db: None) -> World:
    return World()


def signed(world: World, client_id: UUID, hour: int = 10, minute: int = 0, **more: Any) -> str:
    """A signed note of an hour that took place yesterday: the session's id."""
    sent = {"attendance": "attended", "answers": WELL, **more}
    session = book(world.built, client_id, local(-1, hour, minute), **sent)["id"]
    device = Device(world.built, session)
    device.save("PATCH", **whole_note(minutes={"stretching": 60}, not_counted_minutes=0))
    ok(device.sign(), 201)
    return str(session)


def in_error(world: World, session_id: str) -> None:
    ok(world.paula.post(f"sessions/{session_id}/entry-in-error", WHY, key=key()))
    run_due_jobs()


def visit_of(world: World, client_id: UUID) -> dict[str, Any]:
    (found,) = world.visits(client_id=str(client_id))
    return found


def test_its_visit_leaves_the_lists_what_it_used_goes_back_and_the_history_keeps_it(
    world: World,
) -> None:
    made = authorize(world)
    session = signed(world, world.client_id)
    (visit,) = world.visits()
    assert visit["used_units"] == {"STR15": 4}
    in_error(world, session)
    assert world.visits() == []
    refused(world.billing.get(f"visits/{visit['id']}"), 404, "not_found")
    now = ok(world.desk.get(f"authorizations/{made['id']}"))
    assert (now["visits_left"], now["units_used"]) == (10, 0)
    texts = [one["text"] for one in client_history(world.client_id)["results"]]
    assert any("fell away" in text for text in texts)
    assert compare().differences == []


def test_the_right_session_of_that_day_is_a_visit_again(world: World) -> None:
    authorize(world)
    in_error(world, signed(world, world.client_id))
    right = signed(world, world.client_id, 14)
    assert [one["session_id"] for one in visit_of(world, world.client_id)["sessions"]] == [right]
    assert compare().differences == []


def test_of_two_sessions_of_one_visit_the_other_counts_in_full(world: World) -> None:
    authorize(world)
    stays, goes = signed(world, world.client_id), signed(world, world.client_id, 10, 30)
    assert visit_of(world, world.client_id)["timed_minutes"] == 90
    in_error(world, goes)
    visit = visit_of(world, world.client_id)
    assert [one["session_id"] for one in visit["sessions"]] == [stays]
    assert (visit["timed_minutes"], visit["sessions"][0]["shared"]) == (60, [])


def test_a_visit_of_another_discipline_shares_no_minute_with_it_any_more() -> None:
    """Ruling 57, pure: physical and occupational therapy in one hour, the one in error."""
    stream = two_disciplines()
    assert stream.visit_of("pt").used_units == {}
    gone = SessionEnteredInError(session_id=session_of("ot"), was="completed", reason="typo")
    made = without_session(gone.session_id, stream.authorization_balance, stream.payers)
    assert [len(one.sessions) for one in made] == [1, 0]
    stream.add(*made)
    assert (stream.visit_of("pt").used_units, stream.visit_of("pt").timed_minutes) == ({"S": 4}, 60)
    assert stream.used() == (1, 4, 0, 60)


def test_the_other_clients_minutes_are_calculated_again_as_theirs_alone(world: World) -> None:
    """Ruling 57: the practitioner was with both; then only with one."""
    other = world.register(world.built.east.pk)
    authorize(world)
    goes, stays = signed(world, world.client_id), signed(world, other, 10, 30)
    run_due_jobs()
    assert visit_of(world, world.client_id)["sessions"][0]["shared"] != []
    (shared,) = visit_of(world, other)["sessions"][0]["shared"]
    assert shared["session_id"] == goes
    in_error(world, goes)
    visit = visit_of(world, other)
    assert (visit["sessions"][0]["session_id"], visit["sessions"][0]["shared"]) == (stays, [])
    assert world.visits(client_id=str(world.client_id)) == []
    assert compare().differences == []


def test_a_session_signed_after_it_shares_nothing_with_it(world: World) -> None:
    other = world.register(world.built.east.pk)
    in_error(world, signed(world, world.client_id))
    signed(world, other)
    assert visit_of(world, other)["sessions"][0]["shared"] == []


def test_after_an_erasure_nothing_of_the_visit_comes_back(world: World) -> None:
    made = authorize(world)
    in_error(world, signed(world, world.client_id))
    erase(world)
    assert world.visits() == []
    assert not Visit.objects.exists()
    now = ok(world.billing.get(f"authorizations/{made['id']}"))
    assert (now["visits_used"], now["units_used"], now["client_name"]) == (0, 0, "")
    assert compare().differences == []


def test_the_other_client_may_be_erased_between_the_entry_and_what_their_visit_is_told(
    world: World,
) -> None:
    other = world.client_id
    goes = signed(world, world.register(world.built.east.pk))
    signed(world, other, 10, 30)
    run_due_jobs()
    ok(world.paula.post(f"sessions/{goes}/entry-in-error", WHY, key=key()))
    erase(world)
    run_due_jobs()
    (visit,) = world.visits()
    assert visit["client_id"] == str(other)
    assert compare().differences == []
