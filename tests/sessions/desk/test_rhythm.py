"""How often a client comes, when they may be called, and who comes along, on the desk's pages."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, time
from typing import Any
from uuid import UUID

import pytest

from clients.identity.domain.contact import ContactHours, Phone, UnsuitableTime
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged
from practice.clock import clock
from practice.core.terms import Role
from practice.jobs.services import run_due_jobs
from tests.builders import Built, at, ok
from tests.sessions.booking.http import book
from tests.sessions.people import open_client, tell
from tests.sessions.series.http import NOW, held_practice, start
from tests.sessions.stretches.stories import discharged

pytestmark = pytest.mark.django_db

MONDAY = "2026-03-09"


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def client_of(built: Built, **more: Any) -> UUID:
    client = open_client(built)
    details = ClientDetails(
        given_name="Rosa",
        family_name="Marsh",
        birth_date=date(1970, 5, 4),
        zone=built.east.zone,
        facility_ids=(built.east.pk,),
        **more,
    )
    tell(built, client, ClientDetailsChanged(details=details))
    return client


def glance(built: Built, client: UUID) -> Any:
    return ok(built.api(Role.FRONT_DESK).get(f"clients/{client}/at-a-glance"))


def missing(built: Built, day: str) -> list[list[str]]:
    query = {"facility_id": str(built.east.pk), "day": day}
    sheet = ok(built.api(Role.FRONT_DESK).get("day-sheet", query))
    return [one.get("missing", []) for one in sheet["sessions"]]


def test_sessions_of_a_week_stand_beside_those_planned(built: Built) -> None:
    client = client_of(built, planned_sessions_per_week=2)
    for day in ("2026-03-10", "2026-03-15", "2026-03-16"):
        book(built, client, start(day, "14:00"))
    rhythm = glance(built, client)["rhythm"]
    assert rhythm["planned_per_week"] == 2
    assert [(one["begins"], one["booked"]) for one in rhythm["weeks"]] == [
        (MONDAY, 2),
        ("2026-03-16", 1),
        ("2026-03-23", 0),
        ("2026-03-30", 0),
    ]
    assert missing(built, "2026-03-10") == [[]], "as many as planned"
    assert missing(built, "2026-03-16") == [["few"]]


def test_a_client_of_whom_nothing_is_planned_lacks_nothing(built: Built) -> None:
    client = client_of(built)
    book(built, client, start("2026-03-16", "14:00"))
    assert glance(built, client)["rhythm"]["planned_per_week"] is None
    assert missing(built, "2026-03-16") == [[]]


def test_no_shows_are_counted_and_from_the_third_on_named(built: Built) -> None:
    client = client_of(built)
    book(built, client, start("2026-03-16", "14:00"))
    for number, day in enumerate(("2026-03-02", "2026-03-04", "2026-03-06"), 1):
        book(built, client, start(day, "14:00").replace("-04:00", "-05:00"), attendance="no_show")
        rhythm = glance(built, client)["rhythm"]
        assert (rhythm["no_shows"], rhythm["last_no_show"]) == (number, day)
        assert missing(built, "2026-03-16") == [["nosh"] * (number == 3)]
    assert rhythm["no_show_days"] == 90


def test_an_interpreter_named_on_the_client_stands_on_the_sheet(built: Built) -> None:
    """Ruling 56: an interpreter is named; who needs one is known before the day."""
    client = client_of(built, interpreter_needed=True, language="es")
    book(built, client, start("2026-03-16", "14:00"))
    assert missing(built, "2026-03-16") == [["int"]]
    assert glance(built, client)["contact"]["interpreter_needed"] is True


def test_who_named_hours_is_called_in_them_and_their_words_are_told(built: Built) -> None:
    """Noon in New York: the quiet hours are over, the client's own have not begun."""
    hours = ContactHours(starts=time(17), ends=time(19))
    phones = (Phone(number="+12155550100", best_time="after five"),)
    client = client_of(built, contact_hours=hours, phone="+12155550100", phones=phones)
    discharged(built, client, days=70)
    run_due_jobs()
    [one] = ok(built.api(Role.FRONT_DESK).get("call-list"))["results"]
    assert one["call_from"] == "2026-03-09T17:00:00-04:00"
    assert one["best_time"] == "after five"
    contact = glance(built, client)["contact"]
    assert (contact["best_time"], contact["contact_hours"]["starts"]) == ("after five", "17:00:00")
    with clock.at(at("2026-03-09T17:00:00-04:00")):
        [one] = ok(built.api(Role.FRONT_DESK).get("call-list"))["results"]
    assert one["call_from"] is None


def test_what_does_not_suit_is_said_at_a_glance(built: Built) -> None:
    client = client_of(built, unsuitable_times=(UnsuitableTime(weekday=2, reason="school"),))
    assert glance(built, client)["unsuitable_times"] == ["Tuesdays (school)"]
