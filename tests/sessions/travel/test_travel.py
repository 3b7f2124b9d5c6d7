"""Travel of practitioners between facilities: minutes whichever way, offers and warnings."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.people_and_places.models.practitioners import WorkingHours
from sessions.booking.domain.neighbours import Neighbour, travel_warnings
from sessions.travel.domain.travel import minutes_between
from tests.builders import EAST, Built, facility, ok, refused
from tests.sessions.booking.examples import FACILITY, OTHER, PRACTITIONER_ID, slot
from tests.sessions.booking.http import book
from tests.sessions.people import open_client
from tests.sessions.series.http import NOW, held_practice, start

THERE = UUID(int=302)
TIMES = {frozenset((FACILITY, THERE)): 35}
DAY = "2026-03-17"


def test_the_way_takes_as_long_in_both_directions() -> None:
    assert minutes_between(TIMES, FACILITY, THERE) == minutes_between(TIMES, THERE, FACILITY) == 35
    assert minutes_between(TIMES, FACILITY, FACILITY) == 0
    assert minutes_between(TIMES, FACILITY, uuid4()) == 0, "nothing on record"


def near(gap: int, *, after: bool, **changes: Any) -> Neighbour:
    asked, hour = slot(), timedelta(minutes=60)
    away = timedelta(minutes=gap)
    begin = asked.ends_at + away if after else asked.starts_at - away - hour
    values: dict[str, Any] = {
        "session_id": OTHER,
        "practitioner_id": PRACTITIONER_ID,
        "facility_id": THERE,
        "room_id": None,
        "starts_at": begin,
        "ends_at": begin + hour,
        **changes,
    }
    return Neighbour(**values)


@pytest.mark.parametrize("after", [True, False])
@pytest.mark.parametrize(("gap", "warned"), [(0, True), (34, True), (35, False)])
def test_who_cannot_get_there_in_time_is_warned_of(after: bool, gap: int, warned: bool) -> None:
    found = travel_warnings(slot(), [near(gap, after=after)], TIMES)
    assert [one.code for one in found] == ["travel"] * warned


@pytest.mark.parametrize("after", [True, False])
@pytest.mark.parametrize(("gap", "warned"), [(0, True), (239, True), (240, False)])
def test_a_way_that_nobody_recorded_is_warned_of_within_the_longest(
    after: bool, gap: int, warned: bool
) -> None:
    """An unknown way is no short one: two places may lie on two coasts."""
    found = travel_warnings(slot(), [near(gap, after=after)], {})
    assert [one.code for one in found] == ["travel_unknown"] * warned
    assert all(f"{gap} minutes apart" in one.text for one in found)


def test_a_way_recorded_as_nothing_is_known() -> None:
    assert travel_warnings(slot(), [near(0, after=True)], {frozenset((FACILITY, THERE)): 0}) == []


def test_it_says_until_when_how_far_and_how_long_there_is() -> None:
    asked = slot()
    [one] = travel_warnings(asked, [near(20, after=False)], TIMES)
    until = asked.local_start - timedelta(minutes=20)
    assert one.text == (
        f"The practitioner is at another facility until {until:%H:%M} and 35 minutes away:"
        " there are 20."
    )


@pytest.mark.parametrize(
    "one",
    [
        near(0, after=True, facility_id=FACILITY),
        near(0, after=True, practitioner_id=OTHER),
        near(-1, after=True),
    ],
)
def test_neither_here_nor_another_nor_a_clash_is_a_matter_of_travel(one: Neighbour) -> None:
    assert travel_warnings(slot(), [one], TIMES) == []
    assert travel_warnings(slot(), [one], {}) == []


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


@pytest.fixture
def branch(built: Built) -> str:
    """A second place of the same practice, where the physical therapist works too."""
    place = facility("Branch", EAST)
    person = built.practitioners[Credential.PHYSICAL_THERAPIST]
    person.facilities.add(place)
    WorkingHours.objects.bulk_create(
        WorkingHours(practitioner=person, facility=place, weekday=day, starts="08:30", ends="17:30")
        for day in range(1, 8)
    )
    return str(place.pk)


def recorded(built: Built, branch: str, minutes: int = 35) -> dict[str, Any]:
    sent = {"facility_id": branch, "other_facility_id": str(built.east.pk), "minutes": minutes}
    made: dict[str, Any] = ok(built.api(Role.OWNER).post("travel-times", sent), 201)
    return made


def hours(built: Built, client: UUID, place: str) -> set[str]:
    query = {"client_id": str(client), "from": DAY, "to": DAY, "page_size": 100, "minutes": 60}
    query |= {"facility_id": place}
    query |= {"practitioner_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk)}
    found = ok(built.api(Role.OWNER).get("open-times", query))["results"]
    return {one["starts_at"][11:16] for one in found}


@pytest.mark.django_db
def test_what_cannot_be_reached_is_not_offered_and_a_booking_is_warned(
    built: Built, branch: str
) -> None:
    """In the east from 11:00 to 12:00, 35 minutes away: elsewhere until 10:25 and from 12:35."""
    client, other = open_client(built), open_client(built)
    book(built, client, start(DAY, "11:00"))
    assert {"10:00", "12:00"} <= hours(built, other, branch)
    recorded(built, branch)
    there = hours(built, other, branch)
    assert {"09:15", "12:45"} <= there
    assert not {"09:30", "10:00", "12:00", "12:30"} & there
    assert {"10:00", "12:00"} <= hours(built, other, str(built.east.pk))
    owner = built.api(Role.OWNER)
    sent = {"client_id": str(other), "facility_id": branch, "minutes": 60}
    sent |= {"practitioner_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk)}
    late = ok(owner.post("sessions", {**sent, "starts_at": start(DAY, "12:30")}, key="a"), 201)
    assert "travel" in {one["code"] for one in late["warnings"]}
    fine = ok(owner.post("sessions", {**sent, "starts_at": start(DAY, "14:30")}, key="b"), 201)
    assert "travel" not in {one["code"] for one in fine["warnings"]}


@pytest.mark.django_db
def test_two_facilities_stand_once_and_are_changed_and_dropped(built: Built, branch: str) -> None:
    made = recorded(built, branch)
    owner, path = built.api(Role.OWNER), f"travel-times/{made['id']}"
    turned = {"facility_id": str(built.east.pk), "other_facility_id": branch, "minutes": 20}
    refused(owner.post("travel-times", turned), 409, "already_there")
    assert ok(owner.change(path, {"minutes": 50}))["minutes"] == 50
    ok(owner.delete(path), 204)
    assert ok(owner.get("travel-times"))["results"] == []
    same = {**turned, "other_facility_id": turned["facility_id"]}
    refused(owner.post("travel-times", same), 400, "invalid")
    refused(owner.post("travel-times", {**turned, "facility_id": made["id"]}), 400, "invalid")
