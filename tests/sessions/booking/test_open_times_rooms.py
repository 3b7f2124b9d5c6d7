"""Open times are offered in rooms that are free, and private where that is asked for."""

from __future__ import annotations

import pytest

from practice.core.terms import Credential
from practice.people_and_places.models.facilities import Room
from tests.builders import Built, build_practice
from tests.sessions.booking.http import book, local
from tests.sessions.booking.test_open_times_http import asked, found
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def test_a_private_room_is_asked_for_and_where_there_is_none_it_is_said(built: Built) -> None:
    Room.objects.filter(name="East 1").update(is_private=False)
    query = asked(open_client(built), 2, 2, facility_id=str(built.east.pk), page_size=200)
    assert {one["room_name"] for one in found(built, query)["results"]} == {"East 1"}
    private = found(built, {**query, "private_room": "true"})
    assert {one["room_name"] for one in private["results"]} == {"East 2"}
    Room.objects.filter(facility=built.east).update(is_private=False)
    none = found(built, {**query, "private_room": "true"})
    assert none["results"] == []
    assert [one["code"] for one in none["facilities"][0]["reasons"]] == ["no_private_room"]


def test_while_another_client_has_the_only_room_nobody_is_offered(built: Built) -> None:
    Room.objects.filter(name="East 2").delete()
    room = str(Room.objects.get(name="East 1").pk)
    book(built, open_client(built), local(3, 12), room_id=room)
    olga = str(built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk)
    query = asked(open_client(built), 3, 3, practitioner_id=olga, page_size=200)
    near = {**query, "earliest": "10:30", "latest": "14:30"}
    starts = {one["starts_at"][11:16] for one in found(built, near)["results"]}
    assert starts == {"10:30", "10:45", "11:00", "13:00", "13:15", "13:30"}
