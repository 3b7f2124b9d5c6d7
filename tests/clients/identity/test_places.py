"""The client's zone is that of the facility registered at, whatever order ids have."""

from __future__ import annotations

from itertools import permutations
from uuid import UUID

import pytest

from clients.identity.places import with_unseen
from practice.core.terms import Role
from practice.people_and_places.models.facilities import Facility
from tests.builders import Api, Built, account, facility, ok, token_for
from tests.clients.bodies import CLIENT

pytestmark = pytest.mark.django_db
ZONES = ("America/New_York", "America/Los_Angeles", "America/Chicago")


@pytest.fixture
def places(built: Built) -> list[Facility]:
    return [facility(f"Site {zone}", ("US-CA", zone)) for zone in ZONES]


def desk_at(name: str, *where: Facility) -> Api:
    """A desk that was assigned to facilities one after the other."""
    staff = account(name, Role.FRONT_DESK)
    for place in where:
        staff.facilities.add(place)
    return Api(token_for(staff))


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_the_facility_named_first_gives_the_zone(
    built: Built, places: list[Facility], order: tuple[int, ...]
) -> None:
    named = [str(places[one].pk) for one in order]
    made = ok(built.api(Role.OWNER).post("clients", {**CLIENT, "facility_ids": named}), 201)
    assert made["facility_ids"] == named
    assert made["zone"] == ZONES[order[0]]


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_without_one_the_first_place_of_whoever_registers_does(
    places: list[Facility], order: tuple[int, ...]
) -> None:
    desk = desk_at("many", *(places[one] for one in order))
    made = ok(desk.post("clients", CLIENT), 201)
    assert made["facility_ids"] == [str(places[one].pk) for one in order]
    assert made["zone"] == ZONES[order[0]]


def test_for_an_owner_it_is_the_zone_of_the_practice(built: Built, places: list[Facility]) -> None:
    owner = built.api(Role.OWNER)
    answer = owner.get("practice")
    for zone in ZONES:
        answer = owner.patch("practice", {"zone": zone}, match=ok(answer)["revision"])
        ok(answer)
        assert ok(owner.post("clients", CLIENT), 201)["zone"] == zone


def test_a_zone_that_is_said_stays(built: Built) -> None:
    body = {**CLIENT, "zone": "Europe/Lisbon"}
    assert ok(built.api(Role.FRONT_DESK).post("clients", body), 201)["zone"] == "Europe/Lisbon"


def test_changed_facilities_keep_the_order_in_which_they_are_named(
    built: Built, places: list[Facility]
) -> None:
    owner = built.api(Role.OWNER)
    ids = [str(place.pk) for place in places]
    path = f"clients/{ok(owner.post('clients', {**CLIENT, 'facility_ids': ids}), 201)['id']}"
    turned = ok(owner.patch(path, {"facility_ids": ids[::-1]}))
    assert (turned["facility_ids"], turned["zone"]) == (ids[::-1], ZONES[0])


A, B, C = (UUID(int=number) for number in (3, 2, 1))


@pytest.mark.parametrize(
    ("before", "new", "seen", "after"),
    [
        ((A, B), (C,), {B, C}, (A, C)),  # Registered at a place that the caller does not see.
        ((B, A), (C,), {B, C}, (C, A)),
        ((B,), (C, B), {B, C}, (C, B)),
        ((A,), (B,), {B}, (A, B)),
    ],
)
def test_a_facility_that_is_not_seen_stays_and_stays_the_first(
    before: tuple[UUID, ...], new: tuple[UUID, ...], seen: set[UUID], after: tuple[UUID, ...]
) -> None:
    assert with_unseen(before, new, seen) == after
