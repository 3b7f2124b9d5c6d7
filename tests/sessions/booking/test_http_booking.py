"""Booking over HTTP: what is taken, what is refused and what the answer says."""

from __future__ import annotations

from datetime import time, timedelta
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from clients.preference.domain.events import PreferenceExceptionAgreed
from clients.preference.domain.terms import PreferenceScope
from practice.clock import clock
from practice.core.terms import Credential, Gender, Role
from practice.law.models import JurisdictionLimit
from practice.management.test_clocks import change_after
from practice.people_and_places.models.facilities import OpeningHours
from practice.policy.models import PracticeSetting
from sessions.calendar.models import Session
from tests.builders import NOBODY_KNOWS, Built, build_practice, ok, refused
from tests.sessions.booking.http import body, book, key, local
from tests.sessions.people import open_client, prefers, registered, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def codes(reasons: Any) -> set[str]:
    return {one["code"] for one in reasons}


def test_the_desk_books_a_session_hands_on_where_that_is_permitted(built: Built) -> None:
    client = open_client(built)
    room = built.rooms["East 1"]
    answer = built.api(Role.FRONT_DESK).post(
        "sessions", body(built, client, local(3), room_id=str(room.pk)), key=key()
    )
    session = ok(answer, 201)
    assert session["planned_mode"] == session["mode"] == "hands_on"
    assert session["reasons"] == []
    assert answer["ETag"] == f'"{session["version"]}"'
    assert session["starts_at"] == local(3)
    read = built.api(Role.FRONT_DESK).get(f"sessions/{session['id']}")
    assert ok(read)["id"] == session["id"]


def test_without_consent_the_session_is_self_directed_and_the_answer_says_why(
    built: Built,
) -> None:
    session = book(built, registered(built), local(3))
    assert (session["requested_mode"], session["planned_mode"]) == (None, "self_directed")
    assert session["hands_on"] == "nothing"
    assert {"consent.none", "history.not_reviewed"} <= codes(session["reasons"])


def test_hands_on_that_cannot_be_is_refused_with_as_what_it_can_be_booked(built: Built) -> None:
    # ruling 45
    sent = body(built, registered(built), local(3), requested_mode="hands_on")
    answer = built.api(Role.FRONT_DESK).post("sessions", sent, key=key())
    problem = refused(answer, 409, "not_hands_on")
    assert problem["bookable_as"] == ["self_directed"]
    assert "consent.none" in codes(problem["reasons"])
    sent["requested_mode"] = problem["bookable_as"][0]
    again = ok(built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 201)
    assert again["planned_mode"] == "self_directed"


def test_a_trainer_where_the_law_does_not_permit_it_is_booked_self_directed(built: Built) -> None:
    client = open_client(built, built.west)
    trainer = built.practitioners[Credential.PERSONAL_TRAINER]
    sent = body(
        built,
        client,
        local(3, zone="America/Los_Angeles"),
        facility_id=str(built.west.pk),
        practitioner_id=str(trainer.pk),
    )
    session = ok(built.api(Role.OWNER).post("sessions", sent, key=key()), 201)
    assert session["planned_mode"] == "self_directed"
    assert "law.not_allowed" in codes(session["reasons"])


def test_booking_asks_for_a_key_and_repeats_its_answer(built: Built) -> None:
    client, desk = open_client(built), built.api(Role.FRONT_DESK)
    sent = body(built, client, local(3))
    refused(desk.post("sessions", sent), 400, "idempotency_key_required")
    once = ok(desk.post("sessions", sent, key="one"), 201)
    assert ok(desk.post("sessions", sent, key="one"), 201)["id"] == once["id"]
    refused(
        desk.post("sessions", {**sent, "minutes": 30}, key="one"), 422, "idempotency_key_reused"
    )
    assert Session.objects.count() == 1


@pytest.mark.parametrize("kind", ["practitioner", "room", "client"])
def test_a_taken_time_is_refused_naming_what_is_taken(built: Built, kind: str) -> None:
    other = open_client(built)
    mine = other if kind == "client" else open_client(built)
    massage = str(built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    rooms = [str(built.rooms[f"East {n}"].pk) for n in (1, 2)]
    book(built, other, local(3), room_id=rooms[0])
    sent = body(
        built,
        mine,
        local(3, minute=30),
        practitioner_id=None if kind == "practitioner" else massage,
        room_id=rooms[0] if kind == "room" else rooms[1],
    )
    if kind == "practitioner":
        sent = body(built, mine, local(3, minute=30), room_id=rooms[1])
    problem = refused(
        built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 409, "time_taken"
    )
    assert problem["taken"] == [kind]
    assert Session.objects.count() == 1


def test_a_practitioner_against_the_preference_needs_the_clients_own_exception(
    built: Built,
) -> None:
    client = open_client(built)
    marco = built.practitioners[Credential.MASSAGE_THERAPIST]
    tell(built, client, prefers(Gender.WOMAN))
    sent = body(built, client, local(3), practitioner_id=str(marco.pk))
    desk = built.api(Role.FRONT_DESK)
    problem = refused(desk.post("sessions", sent, key=key()), 409, "against_preference")
    assert codes(problem["reasons"]) == {"preference.all_work"}
    agreed = PreferenceExceptionAgreed(
        exception_id=uuid4(),
        practitioner_id=marco.pk,
        agreed_how="Said so at the desk.",
        until=clock.now().date() + timedelta(days=365),
    )
    tell(built, client, agreed)
    session = ok(desk.post("sessions", sent, key=key()), 201)
    assert Session.objects.get(pk=session["id"]).exception_id == agreed.exception_id


def test_a_preference_for_hands_on_work_only_lets_others_work_self_directed(
    built: Built,
) -> None:
    client = open_client(built)
    tell(built, client, prefers(Gender.WOMAN, PreferenceScope.HANDS_ON_ONLY))
    marco = built.practitioners[Credential.MASSAGE_THERAPIST]
    session = book(built, client, local(3), practitioner_id=str(marco.pk))
    assert session["planned_mode"] == "self_directed"
    assert codes(session["reasons"]) == {"preference.hands_on"}


@pytest.mark.parametrize(
    ("changes", "status", "field"),
    [
        ({"minutes": 5}, 400, "ends_at"),
        ({"minutes": 200}, 400, "ends_at"),
        ({"minutes": None}, 400, "minutes"),
        ({"minutes": "60"}, 400, "minutes"),
        ({"requested_mode": "not_today"}, 400, "requested_mode"),
        ({"starts_at": "2026-03-09T09:30"}, 400, "starts_at"),
        ({"starts_at": "2020-03-09T09:30:00-04:00"}, 400, "starts_at"),
        ({"starts_at": "tomorrow"}, 400, "starts_at"),
        ({"practitioner_id": str(NOBODY_KNOWS)}, 400, "practitioner_id"),
        ({"room_id": str(NOBODY_KNOWS)}, 400, "room_id"),
        ({"answers": {}}, 400, "answers"),
        ({"colour": "red"}, 400, "colour"),
        ({"facility_id": str(NOBODY_KNOWS)}, 404, None),
        ({"client_id": str(NOBODY_KNOWS)}, 404, None),
    ],
)
def test_input_that_cannot_be_is_refused_with_the_field(
    built: Built, changes: dict[str, Any], status: int, field: str | None
) -> None:
    sent = body(built, open_client(built), local(3), **changes)
    answer = built.api(Role.FRONT_DESK).post("sessions", sent, key=key())
    assert answer.status_code == status, answer.content
    if field:
        assert field in {one["field"].split(".")[0] for one in answer.json()["errors"]}
    assert Session.objects.count() == 0


def test_a_local_time_that_does_not_exist_or_exists_twice_is_asked_about(built: Built) -> None:
    client, desk = open_client(built), built.api(Role.FRONT_DESK)
    # The next changes at 02:00 in New York (IANA time zone database).
    spring, autumn = (
        change_after(clock.now().date(), "America/New_York", back=back).date()
        for back in (False, True)
    )
    gap = body(built, client, {"local": f"{spring}T02:30"})
    refused(desk.post("sessions", gap, key=key()), 400, "local_time_does_not_exist")
    twice = body(built, client, {"local": f"{autumn}T01:30"})
    refused(desk.post("sessions", twice, key=key()), 400, "local_time_exists_twice")
    later = body(built, client, {"local": f"{autumn}T01:30", "fold": "later"})
    session = ok(desk.post("sessions", later, key=key()), 201)
    assert session["starts_at"] == f"{autumn}T01:30:00-05:00"
    assert "outside_working_hours" in codes(session["warnings"])


def test_an_end_may_be_given_instead_of_a_length(built: Built) -> None:
    sent = body(built, open_client(built), local(3), minutes=None, ends_at=local(3, 11))
    session = ok(built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 201)
    assert session["ends_at"] == local(3, 11)


def test_the_desk_of_one_facility_neither_sees_nor_books_at_another(built: Built) -> None:
    client = open_client(built, built.east, built.west)
    sent = body(
        built,
        client,
        local(3, zone="America/Los_Angeles"),
        facility_id=str(built.west.pk),
        practitioner_id=str(built.practitioners[Credential.PERSONAL_TRAINER].pk),
    )
    desk = built.api(Role.FRONT_DESK)
    assert desk.post("sessions", sent, key=key()).status_code == 404
    there = ok(built.api(Role.OWNER).post("sessions", sent, key=key()), 201)
    assert desk.get(f"sessions/{there['id']}").status_code == 404
    assert ok(desk.get("sessions"))["results"] == []


def test_sessions_are_listed_by_facility_practitioner_client_day_and_status(
    built: Built,
) -> None:
    one, two = open_client(built), open_client(built)
    first = book(built, one, local(3))
    second = book(built, two, local(5))
    desk = built.api(Role.FRONT_DESK)

    def listed(**query: Any) -> list[str]:
        return [row["id"] for row in ok(desk.get("sessions", query))["results"]]

    assert listed() == [first["id"], second["id"]]
    assert listed(client_id=str(two)) == [second["id"]]
    assert listed(to=first["local_date"]) == [first["id"]]
    assert listed(**{"from": second["local_date"]}) == [second["id"]]
    assert listed(practitioner_id=first["practitioner_id"], status="booked") == listed()
    assert listed(status="cancelled") == []
    assert listed(facility_id=str(built.west.pk)) == []
    refused(desk.get("sessions", {"practitionr": "x"}), 400, "unknown_parameter")
    assert desk.get("sessions", {"status": "asleep"}).status_code == 400


def test_a_late_entry_keeps_the_overlap_and_says_so(built: Built) -> None:
    first = book(built, open_client(built), local(-1), attendance="attended")
    second = book(built, open_client(built), local(-1, minute=30), attendance="attended")
    assert second["late_entry"]
    assert second["status"] == "arrived"
    assert second["overlaps"] == [first["id"]]


def test_a_late_entry_of_a_missed_session_is_absent(built: Built) -> None:
    session = book(built, open_client(built), local(-1), attendance="no_show")
    assert session["status"] == "no_show"


def test_a_session_may_begin_when_the_one_before_it_ends(built: Built) -> None:
    client = open_client(built)
    book(built, client, local(3, 10))
    book(built, client, local(3, 11))
    assert Session.objects.count() == 2


def test_visits_before_a_day_count_toward_the_limit_without_a_physician(built: Built) -> None:
    JurisdictionLimit.objects.filter(credential=Credential.PHYSICAL_THERAPIST).update(
        direct_access_visits=1
    )
    client = open_client(built)
    first = book(built, client, local(-1), attendance="attended")
    again = book(built, client, local(-1, 14), attendance="attended")
    later = book(built, client, local(3))
    assert "law.without_physician" not in codes(first["warnings"]) | codes(again["warnings"])
    assert "law.without_physician" in codes(later["warnings"])


def test_a_closed_facility_is_told_apart_from_the_practitioners_hours(built: Built) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    day = clock.now().astimezone(ZoneInfo(built.east.zone)).date() + timedelta(days=3)
    OpeningHours.objects.filter(facility=built.east, weekday=day.isoweekday()).delete()
    made = ok(desk.post("sessions", body(built, client_id, local(3)), key=key()), 201)
    assert codes(made["warnings"]) == {"facility_closed"}
    assert "closed" in made["warnings"][0]["text"]
    OpeningHours.objects.create(
        facility=built.east, weekday=day.isoweekday(), opens=time(9), closes=time(10, 30)
    )
    longer = ok(desk.post("sessions", body(built, client_id, local(3, 14)), key=key()), 201)
    assert codes(longer["warnings"]) == {"facility_closed"}
    other = ok(desk.post("sessions", body(built, client_id, local(4)), key=key()), 201)
    assert other["warnings"] == []
    sent = {"starts_at": local(3, 9), "minutes": 60, "reason": "The client asked."}
    assert ok(desk.post(f"sessions/{other['id']}/move", sent))["warnings"] == []


def test_a_facility_whose_hours_are_not_on_record_is_not_called_closed(built: Built) -> None:
    OpeningHours.objects.filter(facility=built.east).delete()
    sent = body(built, open_client(built), local(3))
    made = ok(built.api(Role.FRONT_DESK).post("sessions", sent, key=key()), 201)
    assert made["warnings"] == []


def test_a_day_on_which_the_practice_is_closed_is_booked_for_a_reason_alone(built: Built) -> None:
    """Issue 10: a closed day refuses or, with a reason, is overruled."""
    day = clock.now().astimezone(ZoneInfo(built.east.zone)).date() + timedelta(days=3)
    PracticeSetting.objects.filter(group="calendar", key="closed_days").update(
        value=[day.isoformat()]
    )
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    asked = body(built, client_id, local(3))
    problem = refused(desk.post("sessions", asked, key=key()), 409, "closed_then")
    assert codes(problem["reasons"]) == {"closed_day"}
    asked["overrule"] = "An operation is the day after."
    made = ok(desk.post("sessions", asked, key=key()), 201)
    assert codes(made["warnings"]) == {"closed_day", "overruled"}
    assert made["overruled"] == "An operation is the day after."
    other = ok(desk.post("sessions", body(built, client_id, local(4)), key=key()), 201)
    assert other["warnings"] == []


def test_a_client_who_is_not_known_at_the_facility_is_booked_with_a_warning(built: Built) -> None:
    sent = body(
        built,
        open_client(built),
        local(3, zone=built.west.zone),
        facility_id=str(built.west.pk),
        practitioner_id=str(built.practitioners[Credential.PERSONAL_TRAINER].pk),
    )
    made = ok(built.api(Role.OWNER).post("sessions", sent, key=key()), 201)
    assert codes(made["warnings"]) == {"not_known_here"}
