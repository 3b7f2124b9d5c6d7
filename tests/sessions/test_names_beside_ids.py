"""Who reads a list of the desk's knows nobody by an id: names stand beside them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.terms import Credential, Gender, Role
from tests.builders import Built, ok
from tests.sessions.booking.http import key
from tests.sessions.people import open_client, prefers, tell
from tests.sessions.series.http import NOW, held_practice, start

pytestmark = pytest.mark.django_db

DAY = "2026-03-17"


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def places(built: Built) -> dict[str, str]:
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    return {"practitioner_id": str(paula.pk), "facility_id": str(built.east.pk)}


def made(built: Built, path: str, **sent: Any) -> dict[str, Any]:
    answer: dict[str, Any] = ok(built.api(Role.OWNER).post(path, sent, key=key()), 201)
    return answer


@pytest.mark.parametrize(
    ("path", "more"),
    [
        ("held-slots", {"weekday": 2, "starts": "10:00", "ends": "12:00"}),
        ("extra-hours", {"day": DAY, "starts": "18:00", "ends": "19:00"}),
    ],
)
def test_whose_time_it_is_and_where(built: Built, path: str, more: dict[str, Any]) -> None:
    answers = [made(built, path, **places(built), **more)]
    answers += ok(built.api(Role.OWNER).get(path))["results"]
    assert [(one["practitioner_name"], one["facility_name"]) for one in answers] == [
        ("Paula", "East")
    ] * 2


def test_whose_sessions_a_feed_holds_or_of_where(built: Built) -> None:
    both = places(built)
    for name in both:
        made(built, "calendar-feeds", label=name, **{name: both[name]})
    listed = ok(built.api(Role.OWNER).get("calendar-feeds"))["results"]
    told = {one["label"]: (one["practitioner_name"], one["facility_name"]) for one in listed}
    assert told == {"practitioner_id": ("Paula", ""), "facility_id": ("", "East")}


def test_between_which_places_a_way_is(built: Built) -> None:
    east, west = str(built.east.pk), str(built.west.pk)
    way = made(built, "travel-times", facility_id=east, other_facility_id=west, minutes=35)
    assert {way["facility_name"], way["other_facility_name"]} == {"East", "West"}


@pytest.mark.holidays
def test_where_a_holiday_is_worked(built: Built) -> None:
    """Memorial Day 2026 (US Code, title 5, section 6103: the last Monday in May)."""
    opening = made(built, "holiday-openings", facility_id=str(built.east.pk), day="2026-05-25")
    assert opening["facility_name"] == "East"


def test_with_whom_and_where_a_waiting_client_was_offered_a_time(built: Built) -> None:
    client = open_client(built)
    entry = made(built, f"clients/{client}/waiting", minutes=60)
    room = str(built.rooms["East 1"].pk)
    offered = {**places(built), "room_id": room, "starts_at": start(DAY, "10:00")}
    answer = made(built, f"waiting-list/{entry['id']}/offers", **offered)
    (listed,) = ok(built.api(Role.FRONT_DESK).get("waiting-list"))["results"]
    for (one,) in (answer["offers"], listed["offers"]):
        assert [one[f"{word}_name"] for word in ("practitioner", "facility", "room")] == [
            "Paula",
            "East",
            "East 1",
        ]


def test_whom_a_client_accepts_all_the_same(built: Built) -> None:
    client = open_client(built)
    tell(built, client, prefers(Gender.MAN))
    agreed = {"agreed_how": "in person", "until": "2026-03-30"}
    path = f"clients/{client}/provider-preference"
    paula = places(built)["practitioner_id"]
    made(built, f"{path}/exceptions", practitioner_id=paula, **agreed)
    (one,) = ok(built.api(Role.FRONT_DESK).get(path))["exceptions"]
    assert (UUID(one["practitioner_id"]), one["practitioner_name"]) == (UUID(paula), "Paula")
