"""What a visit shares with the places of a class, and in which form its times are shown."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID, uuid4

import msgspec
import pytest

from billing.authorizations.models import Visit
from practice.core.terms import SessionPart
from practice.jobs.services import run_due_jobs
from sessions.calendar.models import Session
from tests.billing.practice_rows import note_on, sign
from tests.billing.test_classes import sign_place
from tests.billing.world import World
from tests.sessions.groups.http import made, placed

pytestmark = pytest.mark.django_db
PLACES = 3


@pytest.fixture
def world(db: None) -> World:
    return World()


def sign_across(client_id: UUID, session_id: str) -> UUID:
    """Another client's session of the same practitioner, half of it in the time of a class."""
    row = Session.objects.get(pk=session_id)
    begin = row.ends_at - timedelta(minutes=15)
    note = msgspec.structs.replace(
        note_on(0, {SessionPart.STRETCHING: 30}),
        session_id=uuid4(),
        practitioner_id=row.practitioner_id,
        started_at=begin,
        ended_at=begin + timedelta(minutes=30),
        local_date=row.local_date,
    )
    sign(client_id, note)
    return note.session_id


@pytest.mark.parametrize("before", range(PLACES + 1))
def test_whoever_signs_last_all_know_of_each_other(world: World, before: int) -> None:
    """Whatever number of places was signed before the session that overlaps the class."""
    clients = [world.register(world.built.east.pk) for _ in range(PLACES)]
    group = made(world.built)
    places = [placed(world.built, group["id"], one)["session"]["id"] for one in clients]
    for one in places[:before]:
        sign_place(one)
    across = str(sign_across(world.client_id, places[0]))
    for one in places[before:]:
        sign_place(one)
    assert run_due_jobs().failed == 0
    everyone = {*places, across}
    told = {
        session["session_id"]: {one["session_id"] for one in session["shared"]}
        for sessions in Visit.objects.values_list("sessions", flat=True)
        for session in sessions
    }
    assert told == {one: everyone - {one} for one in everyone}


def test_its_times_are_shown_in_one_form(world: World) -> None:
    world.authorize()
    world.sign(0)
    row = Visit.objects.get()
    shared = {"session_id": str(uuid4()), "same_client": False, "same_class": False}
    row.sessions[0] |= {
        "started_at": "2026-03-02T05:00:00-08:00",
        "ended_at": "2026-03-02T13:30:00Z",
        "shared": [
            shared
            | {"starts_at": "2026-03-02T05:15:00-08:00", "ends_at": "2026-03-02T14:30:00+01:00"}
        ],
    }
    row.save(update_fields=["sessions"])
    ((shown,),) = [one["sessions"] for one in world.visits()]
    assert (shown["started_at"], shown["ended_at"]) == (
        "2026-03-02T13:00:00Z",
        "2026-03-02T13:30:00Z",
    )
    (beside,) = shown["shared"]
    assert (beside["starts_at"], beside["ends_at"]) == (
        "2026-03-02T13:15:00Z",
        "2026-03-02T13:30:00Z",
    )
    assert shown["signed_at"].endswith("Z")
