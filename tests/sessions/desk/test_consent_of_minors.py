"""A consent that booking does not take is said to stand nowhere, over HTTP."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.consent.domain.terms import ConsentSigner
from clients.identity.domain.contact import Guardian
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged
from clients.identity.selectors import client_details_row
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.law.models import ConsentAge
from tests.builders import Api, Built, build_practice, ok, refused
from tests.sessions.booking.http import body, book, key, local
from tests.sessions.people import consent, open_client, registered, reviewed, tell

pytestmark = pytest.mark.django_db

ALONE = (
    "The touch consent does not stand: the client was below the age of medical consent (18) when"
    " they signed alone: a guardian's consent is needed. Ask the guardian."
)


@pytest.fixture
def built() -> Built:
    return build_practice()


def born(built: Built, client: UUID, on: date, **more: Any) -> None:
    """The client's details with another birth date."""
    row = client_details_row(client)
    details = ClientDetails(
        given_name=row.given_name,
        family_name=row.family_name,
        birth_date=on,
        zone=row.zone,
        facility_ids=(built.east.pk,),
        **more,
    )
    tell(built, client, ClientDetailsChanged(details=details))


def years_ago(years: int, days: int = 0) -> date:
    today = clock.now().date()
    return today.replace(year=today.year - years, day=min(today.day, 28)) - timedelta(days=days)


def glance(api: Api, client: UUID) -> dict[str, Any]:
    shown: dict[str, Any] = ok(api.get(f"clients/{client}/at-a-glance"))
    return shown


def read(api: Api, client: UUID) -> dict[str, Any]:
    shown: dict[str, Any] = ok(api.get(f"clients/{client}/touch-consent"))
    return shown


def refusal(built: Built, client: UUID) -> list[str]:
    """The reasons for which booking refuses hands-on."""
    sent = body(built, client, local(9), requested_mode="hands_on")
    found = refused(
        built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 409, "not_hands_on"
    )
    return [one["code"] for one in found["reasons"]]


def test_a_birth_date_put_right_takes_the_consent_of_a_minor_everywhere(built: Built) -> None:
    """Ruling 56: who signed alone as a minor consented to nothing; one judgement says so."""
    client, desk = open_client(built), built.api(Role.FRONT_DESK)
    booked = book(built, client, local(3))
    assert glance(desk, client)["consent"]["stands"]
    assert read(desk, client)["in_force"]
    born(built, client, years_ago(15))
    assert "consent.minor" in refusal(built, client)
    shown = glance(desk, client)
    assert shown["consent"] == {"stands": False, "sentence": ALONE}
    assert shown["missing"]["con-g"] == "No touch consent covers it: ask the guardian."
    assert "con" not in shown["missing"]
    consented = read(desk, client)
    assert not consented["in_force"]
    assert consented["warnings"][0]["code"] == "consent.minor"
    assert "does not stand" in consented["grants"][0]["why"]
    day = {"facility_id": str(built.east.pk), "day": local(3)[:10]}
    (line,) = ok(desk.get("day-sheet", day))["sessions"]
    assert line["id"] == booked["id"]
    assert "con-g" in line["missing"]


def test_of_a_guardian_whose_time_ended_the_guardian_is_asked(built: Built) -> None:
    client, desk, today = registered(built), built.api(Role.FRONT_DESK), clock.now().date()
    given = consent()
    obtained = msgspec.structs.replace(
        given.obtained, signer=ConsentSigner.GUARDIAN, guardian_name="Ruth Marsh"
    )
    by_guardian = msgspec.structs.replace(given, obtained=obtained)
    guardian = Guardian(name="Ruth Marsh", relation="mother", until=today + timedelta(days=9))
    born(built, client, years_ago(15))
    tell(built, client, by_guardian, reviewed())
    born(built, client, years_ago(15), guardian=guardian)
    assert glance(desk, client)["consent"]["stands"]
    ended = msgspec.structs.replace(guardian, until=today - timedelta(days=2))
    born(built, client, years_ago(15), guardian=ended)
    told = glance(desk, client)["consent"]
    assert told == {
        "stands": False,
        "sentence": f"The touch consent ended on {ended.until}. Ask the guardian.",
    }
    assert "consent.expired" in refusal(built, client)


def test_the_call_list_says_who_is_asked_and_what_does_not_stand(built: Built) -> None:
    client, desk = registered(built), built.api(Role.FRONT_DESK)
    soon = clock.now().date() + timedelta(days=20)
    tell(built, client, msgspec.structs.replace(consent(), until=soon), reviewed())
    book(built, client, local(5))

    def told() -> str:
        found = ok(desk.get("call-list", {"reason": "consent_ending"}))["results"]
        text: str = found[0]["text"]
        return text

    assert told() == f"The touch consent ends on {soon}: ask the client."
    born(built, client, years_ago(15))
    assert told() == ALONE


def with_guardian(built: Built, age: int, **more: Any) -> UUID:
    """A client of an age whose mother stands on the record, with a session in three days."""
    client = registered(built)
    mother = Guardian(name="Mina Okafor", relation="mother", phone="+14155550166", **more)
    born(built, client, years_ago(age), phone="+14155550131", guardian=mother)
    book(built, client, local(3))
    return client


def sheet(built: Built) -> dict[str, Any]:
    asked = {"facility_id": str(built.east.pk), "day": local(3)[:10]}
    found: dict[str, Any] = ok(built.api(Role.FRONT_DESK).get("day-sheet", asked))
    return found


@pytest.mark.parametrize(
    ("age", "more", "told"),
    [
        (12, {}, "Mina Okafor, mother, +14155550166"),
        (30, {}, ""),
        (12, {"until": date(2020, 1, 1)}, ""),
    ],
    ids=["a minor", "of age", "no guardian any more"],
)
def test_whom_the_desk_calls_for_a_minor_stands_on_the_sheet_and_the_call_list(
    built: Built, age: int, more: dict[str, Any], told: str
) -> None:
    client = with_guardian(built, age, **more)
    (line,) = sheet(built)["sessions"]
    assert line.get("guardian", "") == told
    asked = {"facility_id": str(built.east.pk), "day": local(3)[:10]}
    page = built.api(Role.FRONT_DESK).get("day-sheet/printout", asked).content.decode()
    assert ("Mina Okafor" in page) is bool(told)
    absent = {
        "practitioner_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "first_day": local(3)[:10],
        "kind": "ill",
    }
    ok(built.api(Role.FRONT_DESK).post("absences", absent), 201)
    (call,) = ok(built.api(Role.FRONT_DESK).get("call-list", {"client_id": str(client)}))["results"]
    assert (call["client_phone"], call["guardian"]) == ("+14155550131", told)


def test_a_guardians_last_day_is_the_last_on_which_they_are_called(built: Built) -> None:
    last = date.fromisoformat(local(3)[:10])
    with_guardian(built, 12, until=last)
    assert "guardian" in sheet(built)["sessions"][0]


def test_who_is_shown_to_consent_alone_is_called_themself(built: Built) -> None:
    client = with_guardian(built, 16)
    given = consent()
    obtained = msgspec.structs.replace(given.obtained, adult_proof="marriage certificate")
    tell(built, client, msgspec.structs.replace(given, obtained=obtained))
    assert "guardian" not in sheet(built)["sessions"][0]


def test_who_decides_alone_where_the_session_is_held_is_called_themself(built: Built) -> None:
    """As what is missing says it: the client is asked there, though elsewhere they are a minor."""
    client = with_guardian(built, 16)
    tell(built, client, consent())
    law = {"jurisdiction": built.east.jurisdiction, "years": 15, "effective_from": "2020-01-01"}
    ConsentAge.objects.create(**law, source="a law", verified_on="2026-01-01")
    row = client_details_row(client)
    places = (built.east.pk, built.west.pk)
    details = ClientDetails(
        given_name=row.given_name,
        family_name=row.family_name,
        birth_date=years_ago(16),
        zone=row.zone,
        facility_ids=places,
        guardian=Guardian(name="Mina Okafor", relation="mother", phone="+14155550166"),
    )
    tell(built, client, ClientDetailsChanged(details=details))
    (line,) = sheet(built)["sessions"]
    assert "con-g" not in line.get("missing", [])
    assert "guardian" not in line
    ConsentAge.objects.update(years=17)
    (line,) = sheet(built)["sessions"]
    assert "con-g" in line["missing"]
    assert line["guardian"] == "Mina Okafor, mother, +14155550166"
