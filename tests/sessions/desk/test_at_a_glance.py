"""A client on the phone, over HTTP: one answer with what the desk needs."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.consent.domain.age import AgeOfConsent
from clients.consent.domain.ledger import ConsentLedger
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged, ContactBy
from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Role
from sessions.desk.domain.consent_sentence import consent_sentence
from tests.billing.world import World
from tests.builders import Api, ok, refused
from tests.sessions.booking.http import book, local
from tests.sessions.people import consent, open_client, registered, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def world() -> World:
    found = World()
    found.client_id = open_client(found.built)
    return found


def glance(api: Api, client_id: UUID) -> dict[str, Any]:
    found: dict[str, Any] = ok(api.get(f"clients/{client_id}/at-a-glance"))
    return found


def in_days(days: int) -> str:
    return local(days)[:10]


def test_who_it_is_and_how_to_reach_them(world: World) -> None:
    details = ClientDetails(
        given_name="Rosa",
        family_name="Marsh",
        birth_date=date(1970, 5, 4),
        phone="+12155550100",
        zone=world.built.east.zone,
        language="es",
        contact_by=ContactBy.PHONE,
        facility_ids=(world.built.east.pk,),
    )
    tell(world.built, world.client_id, ClientDetailsChanged(details=details))
    contact = glance(world.desk, world.client_id)["contact"]
    contact.pop("their_time")
    assert contact == {
        "name": "Rosa Marsh",
        "birth_date": "1970-05-04",
        "phone": "+12155550100",
        "email": "",
        "contact_by": "phone",
        "contact_also_by": [],
        "best_time": "",
        "contact_hours": None,
        "phones": [{"number": "+12155550100", "label": "", "texts": False, "best_time": ""}],
        "language": "es",
        "interpreter_needed": False,
        "emergency_contacts": [],
        "guardian": None,
    }


def test_consent_in_a_sentence_and_whether_it_stands(world: World) -> None:
    until = (clock.now().date() + timedelta(days=365)).isoformat()
    said = glance(world.desk, world.client_id)["consent"]
    assert said["stands"] is True
    assert said["sentence"].startswith(f"The touch consent stands until {until} (")
    ok(world.desk.post(f"clients/{world.client_id}/touch-consent/withdrawal", {}))
    assert glance(world.desk, world.client_id)["consent"] == {
        "stands": False,
        "sentence": "The client withdrew touch consent.",
    }


def test_a_sentence_says_from_when_and_until_when_it_counts(world: World) -> None:
    given = consent()
    tell(world.built, world.client_id, given)
    found = ok(world.owner.get(f"clients/{world.client_id}/touch-consent"))
    assert found["in_force"]
    assert said_of(ConsentLedger(), given.until) == "No touch consent is on record."
    ledger = _ledger(world.client_id)
    assert "stands until" in said_of(ledger, given.until)
    after = given.until + timedelta(days=1)
    assert said_of(ledger, after).startswith("The touch consent ended on")
    before = given.given_on - timedelta(days=1)
    assert said_of(ledger, before).startswith("The touch consent counts from")


def said_of(ledger: ConsentLedger, day: date) -> str:
    return consent_sentence(ledger, date(1970, 5, 4), day, AgeOfConsent(18, "a test"))


def _ledger(client_id: UUID) -> ConsentLedger:
    from clients.consent.models import Consent

    return msgspec.convert(Consent.objects.get(pk=client_id).ledger, ConsentLedger)


def test_what_is_missing_is_that_of_the_next_visits_or_of_today(world: World) -> None:
    nobody = registered(world.built)
    assert glance(world.desk, nobody)["missing"] == {
        "con": "No touch consent covers it: ask the client.",
        "hist": "No health history: ask the client.",
    }
    assert glance(world.desk, world.client_id)["missing"] == {}
    book(world.built, world.client_id, local(3))
    shown = glance(world.desk, world.client_id)
    assert shown["missing"].keys() == {"aut"}
    assert shown["next_visits"][0]["missing"] == ["aut"]


def test_the_next_visits_are_five_at_most_by_start(world: World) -> None:
    ids = [book(world.built, world.client_id, local(days))["id"] for days in (7, 3, 4, 5, 6, 8)]
    visits = glance(world.desk, world.client_id)["next_visits"]
    assert [one["id"] for one in visits] == [ids[1], ids[2], ids[3], ids[4], ids[0]]
    assert visits[0]["practitioner_name"] == "Paula"
    assert (visits[0]["hands_on"], visits[0]["confirmed"]) == ("all", False)


def test_what_an_authorization_has_left_and_how_much_of_it_is_booked(world: World) -> None:
    made = world.authorize(starts_on=in_days(0), ends_on=in_days(5), visits=4)
    past = world.authorize(number="PA-0", starts_on=in_days(-9), ends_on=in_days(-2))
    for days in (5, 6):
        book(world.built, world.client_id, local(days))
    (left,) = glance(world.desk, world.client_id)["authorizations"]
    assert left["authorization_id"] == made["id"] != past["id"]
    assert (left["visits_left"], left["days_booked"]) == (4, 1)
    assert (left["number"], left["payer_name"]) == ("PA-417", "Lakeshore")
    ok(world.desk.post(f"authorizations/{made['id']}/voiding", {"reason": "wrong client"}))
    assert glance(world.desk, world.client_id)["authorizations"] == []


def test_what_to_call_about_and_the_last_calls(world: World) -> None:
    session = book(world.built, world.client_id, local(3))
    ok(world.desk.post(f"clients/{world.client_id}/touch-consent/withdrawal", {}))
    (entry,) = glance(world.desk, world.client_id)["to_call_about"]
    assert (entry["reason"], entry["about_id"]) == ("session_narrowed", session["id"])
    body = {"outcome": "reached", "note": "Will sign again."}
    ok(world.desk.post(f"clients/{world.client_id}/calls", body), 201)
    shown = glance(world.desk, world.client_id)
    assert shown["to_call_about"] == []
    assert [one["note"] for one in shown["last_calls"]] == ["Will sign again."]


def test_the_statements_are_as_many_however_much_there_is(world: World) -> None:
    world.authorize(starts_on=in_days(0), ends_on=in_days(30))
    book(world.built, world.client_id, local(3))
    counts = []
    for days in (4, 5, 6, 7):
        with CaptureQueriesContext(connection) as heard:
            glance(world.desk, world.client_id)
        counts.append(len(heard))
        book(world.built, world.client_id, local(days))
    assert counts[1] == counts[2] == counts[3]


def test_it_counts_as_read_and_is_of_visible_clients_alone(world: World) -> None:
    """Ruling 62."""
    glance(world.desk, world.client_id)
    entry = AccessEntry.objects.get(what="at a glance")
    assert entry.client_id == world.client_id
    other = registered(world.built, world.built.west)
    refused(world.desk.get(f"clients/{other}/at-a-glance"), 404, "not_found")
    assert world.billing.get(f"clients/{world.client_id}/at-a-glance").status_code == 403
    assert (
        world.built.api(Role.PRACTITIONER).get(f"clients/{world.client_id}/at-a-glance").status_code
        == 200
    )
