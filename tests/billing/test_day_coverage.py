"""Whether an authorization covers a booked day, and whether it runs out, as the desk is told."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest

from billing.authorizations.domain.advisories import BillingSettings, RemainingBalance
from billing.authorizations.domain.day_coverage import coverage_gap
from practice.clock import clock
from practice.core.terms import Role
from tests.billing.world import World
from tests.builders import at, ok
from tests.sessions.booking.http import book
from tests.sessions.people import open_client

DAY = date(2026, 3, 9)
SETTINGS = BillingSettings(
    running_out_visits=2,
    running_out_units=4,
    running_out_minutes=60,
    expiring_days=14,
    recalculated_visits=100,
    threshold_warning_percent=80,
)


def held(**changes: Any) -> RemainingBalance:
    whole: dict[str, Any] = {
        "number": "PA-1",
        "starts_on": date(2026, 3, 1),
        "last_day": date(2026, 5, 31),
        "visits": 10,
        "units": 40,
        "minutes": None,
    }
    return RemainingBalance(**{**whole, **changes})


def gap(*balances: RemainingBalance, booked: tuple[date, ...] = (DAY,)) -> str | None:
    return coverage_gap(DAY, balances, booked, SETTINGS)


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ({}, None),
        ({"starts_on": DAY}, None),
        ({"starts_on": DAY + timedelta(days=1)}, "aut"),
        ({"last_day": DAY - timedelta(days=1)}, "aut"),
        ({"last_day": DAY}, "aut-end"),
        ({"last_day": DAY + timedelta(days=14)}, "aut-end"),
        ({"last_day": DAY + timedelta(days=15)}, None),
        ({"visits": None, "units": None}, None),
        ({"visits": 4}, None),
        ({"visits": 3}, "aut-end"),
        ({"visits": 1}, "aut-end"),
        ({"visits": 0}, "aut"),
        ({"units": 0}, "aut"),
        ({"units": 5}, None),
        ({"units": 4}, "aut-end"),
        ({"minutes": 0}, "aut"),
    ],
)
def test_what_is_left_after_the_day_decides(changes: dict[str, Any], found: str | None) -> None:
    """Ruling 36: two visits or fourteen days."""
    assert gap(held(**changes)) == found


def test_days_booked_before_it_use_visits_first_and_later_ones_do_not() -> None:
    earlier, same, later = DAY - timedelta(days=1), DAY, DAY + timedelta(days=1)
    outside = date(2026, 2, 28)
    assert gap(held(visits=1), booked=(same, later, outside)) == "aut-end"
    assert gap(held(visits=1), booked=(earlier, same)) == "aut"
    assert gap(held(visits=1), booked=(same, same)) == "aut-end"


def test_one_that_covers_it_well_is_enough() -> None:
    assert gap() == "aut"
    assert gap(held(visits=0), held()) is None
    assert gap(held(visits=2), held()) is None
    assert gap(held(visits=0), held(visits=2)) == "aut-end"


@pytest.fixture
def world() -> Iterator[World]:
    """On a Monday morning; one token for each, since the clock stands still."""
    with clock.at(at("2026-03-09T07:10:00-04:00")):
        found = World()
        signed_in = {Role.OWNER: found.owner, Role.FRONT_DESK: found.desk}
        found.built.api = signed_in.__getitem__  # type: ignore[method-assign,assignment]
        yield found


def missing(world: World) -> list[str]:
    shown = ok(world.desk.get("day-sheet", {"facility_id": str(world.built.east.pk)}))
    return [code for one in shown["sessions"] for code in one.get("missing", [])]


@pytest.mark.django_db
def test_the_day_sheet_tells_the_desk_to_ask_the_payer(world: World) -> None:
    world.client_id = open_client(world.built)
    book(world.built, world.client_id, "2026-03-09T10:00:00-04:00")
    assert missing(world) == ["aut"]
    made = world.authorize(visits=2)
    assert missing(world) == ["aut-end"]
    path = f"authorizations/{made['id']}/voiding"
    ok(world.desk.post(path, {"reason": "the wrong client"}))
    assert missing(world) == ["aut"]
    world.authorize(number="PA-418")
    assert missing(world) == []


@pytest.mark.django_db
def test_who_pays_for_themself_needs_no_authorization(world: World) -> None:
    world.client_id = open_client(world.built)
    book(world.built, world.client_id, "2026-03-09T10:00:00-04:00")
    path = f"clients/{world.client_id}/self-pay"
    ok(world.desk.post(path, {"starts_on": "2026-03-10", "reason": "asked"}), 201)
    assert missing(world) == ["aut"]
    ok(world.desk.post(path, {"starts_on": "2026-03-09", "reason": "asked"}), 201)
    assert missing(world) == []
