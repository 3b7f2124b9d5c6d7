"""What a client wished of being reached, where the desk needs it: on the sheet, on the phone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Api, Built, at, ok, token_for
from tests.sessions.booking.http import body, key
from tests.sessions.people import consent, reviewed, tell
from tests.sessions.series.http import held_practice

pytestmark = pytest.mark.django_db
PHONES = [
    {"number": "+12155550134", "label": "mobile", "texts": True, "best_time": "after 16:00"},
    {"number": "+12155550135", "label": "work", "texts": False, "best_time": ""},
]
BROTHER = {"name": "Jon Lindqvist", "relation": "brother", "phone": "+12155550150"}


@pytest.fixture(autouse=True)
def _noon() -> Iterator[None]:
    with clock.at(at("2026-03-09T12:00:00-04:00")):
        yield


@pytest.fixture
def built() -> Built:
    return held_practice()


def booked(built: Built, **details: Any) -> UUID:
    """A client with a session tomorrow, all of it hands-on."""
    desk = built.api(Role.FRONT_DESK)
    values = {"family_name": "Lindqvist", "birth_date": "1971-04-23", "phones": PHONES, **details}
    client = UUID(ok(desk.post("clients", values), 201)["id"])
    tell(built, client, consent(), reviewed())
    sent = body(built, client, "2026-03-10T10:00:00-04:00")
    ok(desk.post("sessions", sent, key=key()), 201)
    return client


def missing(built: Built) -> list[str]:
    asked = {"facility_id": str(built.east.pk), "day": "2026-03-10"}
    sheet = ok(built.api(Role.FRONT_DESK).get("day-sheet", asked))
    (line,) = sheet["sessions"]
    return [sheet["texts"][code] for code in line.get("missing", [])]


def test_the_sheet_says_that_an_interpreter_is_needed_whatever_was_consented_to(
    built: Built,
) -> None:
    booked(built, language="es", interpreter_needed=True)
    assert missing(built) == ["An interpreter is needed: see to one."]


def test_the_sheet_is_silent_where_none_is_needed(built: Built) -> None:
    booked(built, language="es", interpreter_needed=False)
    assert missing(built) == []


def test_a_glance_shows_all_by_which_a_client_may_be_reached(built: Built) -> None:
    hours = {"starts": "16:00:00", "ends": "19:00:00"}
    wishes = {
        "contact_by": "text",
        "contact_also_by": ["phone"],
        "contact_hours": hours,
        "interpreter_needed": True,
        "emergency_contacts": [BROTHER],
    }
    client = booked(built, **wishes)
    shown = ok(built.api(Role.FRONT_DESK).get(f"clients/{client}/at-a-glance"))["contact"]
    (brother,) = shown["emergency_contacts"]
    assert brother.pop("id")
    assert {name: shown[name] for name in wishes} == wishes
    assert shown["phones"] == PHONES
    assert shown["guardian"] is None


def listed(built: Built, when: str) -> dict[str, Any]:
    """The one row of the call list at a time."""
    with clock.at(at(when)):
        desk = Api(token_for(built.staff[Role.FRONT_DESK]))
        (row,) = ok(desk.get("call-list"))["results"]
        return dict(row)


def test_a_client_is_called_in_the_hours_that_they_named(built: Built) -> None:
    client = booked(built, contact_hours={"starts": "16:00", "ends": "19:00"})
    ok(built.api(Role.FRONT_DESK).post(f"clients/{client}/touch-consent/withdrawal", {}))
    early = listed(built, "2026-03-09T15:59:00-04:00")
    assert early["call_from"] == "2026-03-09T16:00:00-04:00"
    assert early["best_time"] == "after 16:00"
    assert listed(built, "2026-03-09T16:00:00-04:00")["call_from"] is None


def test_who_named_no_hours_is_called_outside_the_quiet_ones(built: Built) -> None:
    client = booked(built)
    ok(built.api(Role.FRONT_DESK).post(f"clients/{client}/touch-consent/withdrawal", {}))
    assert listed(built, "2026-03-09T19:59:00-04:00")["call_from"] is None
    late = listed(built, "2026-03-09T20:00:00-04:00")
    assert late["call_from"] == "2026-03-10T08:00:00-04:00"
