"""Weekly hours at several facilities: the same local hour may begin in two zones, and nobody is in
two places at once on either clock."""

from __future__ import annotations

from datetime import date, time
from typing import Any

import pytest

from practice.core.terms import Role
from practice.people_and_places.weekly_hours import PlacedHours, two_places_at_once
from tests.builders import Built, ok, refused
from tests.practice.test_announced import person

EAST, WEST, SOUTHWEST = "America/New_York", "America/Los_Angeles", "America/Phoenix"
WINTER = date(2026, 1, 7)


def hours(
    facility: str, zone: str, starts: int, ends: int, weekday: int = 1, minute: int = 0
) -> PlacedHours:
    return PlacedHours(facility, zone, weekday, time(starts, minute), time(ends))


@pytest.mark.parametrize(
    ("one", "other", "shared"),
    [
        # 08:00 to 11:00 on each clock: three hours apart, one begins as the other ends.
        (hours("East", EAST, 8, 11), hours("West", WEST, 8, 11), False),
        (hours("East", EAST, 8, 12), hours("West", WEST, 8, 11), True),
        (hours("East", EAST, 12, 13), hours("West", WEST, 9, 10), True),
        # In one zone they may touch and no more.
        (hours("East", EAST, 8, 12), hours("North", EAST, 12, 16), False),
        (hours("East", EAST, 8, 12), hours("North", EAST, 11, 16, minute=59), True),
        (hours("East", EAST, 8, 12), hours("North", EAST, 8, 12, weekday=2), False),
        # The end of a Sunday in the west is a Monday in the east.
        (hours("West", WEST, 22, 0, weekday=7), hours("East", EAST, 2, 4), True),
        (hours("West", WEST, 22, 0, weekday=7), hours("East", EAST, 3, 4), False),
        # One place twice is for the check of that place.
        (hours("East", EAST, 8, 12), hours("East", EAST, 9, 10), False),
    ],
)
def test_two_places_are_compared_as_instants(
    one: PlacedHours, other: PlacedHours, shared: bool
) -> None:
    for given in ([one, other], [other, one]):
        assert (two_places_at_once(given, WINTER) is not None) is shared


def test_hours_that_meet_in_summer_alone_are_seen_in_winter_with_the_day() -> None:
    """Arizona keeps its clock: with Los Angeles an hour apart in winter, none in summer."""
    given = [hours("South", SOUTHWEST, 9, 10), hours("West", WEST, 9, 10)]
    found = two_places_at_once(given, WINTER)
    assert found is not None
    assert found.day == date(2026, 3, 9), "the first Monday after the clocks went forward"


def test_a_long_span_is_not_forgotten_behind_a_short_one() -> None:
    given = [
        hours("East", EAST, 8, 18),
        hours("East", EAST, 9, 10),
        hours("North", EAST, 17, 19),
    ]
    assert two_places_at_once(given, WINTER) is not None


def spans(built: Built, *given: tuple[str, str, str]) -> list[dict[str, Any]]:
    places = {"east": built.east, "west": built.west}
    return [
        {"facility_id": str(places[where].pk), "weekday": 1, "starts": starts, "ends": ends}
        for where, starts, ends in given
    ]


@pytest.mark.django_db
def test_the_same_hour_begins_at_two_facilities(built: Built) -> None:
    owner = built.api(Role.OWNER)
    both = spans(built, ("east", "08:00", "11:00"), ("west", "08:00", "11:00"))
    made = ok(owner.post("practitioners", person(built, working_hours=both)), 201)
    assert len(made["working_hours"]) == 2
    twice = spans(built, ("east", "08:00", "12:00"), ("west", "08:00", "11:00"))
    problem = refused(
        owner.change(f"practitioners/{made['id']}", {"working_hours": twice}), 400, "invalid"
    )
    (error,) = problem["errors"]
    assert error["field"] == "working_hours"
    assert f"{built.east.name} 08:00 to 12:00" in error["detail"]
    assert f"{built.west.name} 08:00 to 11:00" in error["detail"]


@pytest.mark.django_db
def test_hours_at_a_facility_that_is_not_there_are_refused(built: Built) -> None:
    (one,) = spans(built, ("east", "08:00", "11:00"))
    nowhere = [{**one, "facility_id": "00000000-0000-0000-0000-000000000001"}]
    sent = person(built, working_hours=nowhere)
    refused(built.api(Role.OWNER).post("practitioners", sent), 400, "invalid")
