"""Each offer of a whole page is booked as it is offered: the same mode, reasons and warnings."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time
from typing import Any
from uuid import UUID

import msgspec
import pytest
from django.db import transaction

from clients.health.domain.content import BodySite
from practice.clock import clock
from practice.core.terms import Credential, Gender, Region, Role, Side
from practice.people_and_places.models.facilities import Facility, OpeningHours, Room
from practice.people_and_places.models.practitioners import WorkingHours
from practice.policy.models import PracticeSetting
from tests.billing.practice_rows import payer
from tests.builders import WEEK, Built, at, ok
from tests.sessions.booking.http import book, key
from tests.sessions.groups.http import made as class_made
from tests.sessions.people import (
    consent,
    not_today,
    open_client,
    prefers,
    registered,
    reviewed,
    tell,
)
from tests.sessions.series.http import held_practice, start

pytestmark = pytest.mark.django_db

NOW = at("2026-03-09T12:00:00-04:00")
MONDAY, TUESDAY, SUNDAY = "2026-03-16", "2026-03-17", "2026-03-22"
BEFORE_SPRING, SPRING = at("2026-03-02T12:00:00-05:00"), "2026-03-08"
BEFORE_AUTUMN, AUTUMN = at("2026-10-26T12:00:00-04:00"), "2026-11-01"
"""The nights of the clock changes of 2026 in the United States (IANA tz database)."""
AS_OFFERED = ("practitioner_id", "facility_id", "room_id", "starts_at", "ends_at")


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def whole_page(
    built: Built, client: UUID, first: str = MONDAY, last: str = SUNDAY, **more: Any
) -> dict[str, Any]:
    query = {"client_id": str(client), "from": first, "to": last, "page_size": 20, **more}
    if "kind_id" not in query:
        query.setdefault("minutes", 60)
    page: dict[str, Any] = ok(built.api(Role.OWNER).get("open-times", query))
    assert page["results"]
    return page


def each_is_booked(built: Built, page: dict[str, Any], **more: Any) -> list[dict[str, Any]]:
    """Every offer of a page is booked by itself, is what was offered, and is taken back."""
    booked = []
    for offer in page["results"]:
        sent = {"client_id": page["client_id"], **{one: offer[one] for one in AS_OFFERED}, **more}
        before = transaction.savepoint()  # The unit's own transaction stands in no other block.
        session = ok(built.api(Role.OWNER).post("sessions", sent, key=key()), 201)
        transaction.savepoint_rollback(before)
        assert [session[one] for one in AS_OFFERED] == [offer[one] for one in AS_OFFERED]
        assert session["planned_mode"] == offer["mode"], offer
        assert texts(session["warnings"]) == told(page, offer, "warnings"), offer
        assert texts(session["reasons"]) == told(page, offer, "reasons"), offer
        booked.append(session)
    return booked


def texts(reasons: list[dict[str, Any]]) -> list[str]:
    return sorted(f"{one['code']}: {one['text']}" for one in reasons)


def told(page: dict[str, Any], offer: dict[str, Any], what: str) -> list[str]:
    return texts([page["reason_texts"][str(number)] for number in offer.get(what, ())])


def codes(sessions: list[dict[str, Any]]) -> set[str]:
    return {one["code"] for session in sessions for one in session["warnings"]}


def of_owner(built: Built, path: str, **sent: Any) -> dict[str, Any]:
    made: dict[str, Any] = ok(built.api(Role.OWNER).post(path, sent), 201)
    return made


def who(built: Built, credential: Credential) -> str:
    return str(built.practitioners[credential].pk)


def paula(built: Built) -> str:
    return who(built, Credential.PHYSICAL_THERAPIST)


def works(built: Built, credential: Credential, place: Facility, begin: time, end: time) -> None:
    WorkingHours.objects.filter(
        practitioner=built.practitioners[credential], facility=place
    ).delete()
    WorkingHours.objects.bulk_create(
        WorkingHours(
            practitioner=built.practitioners[credential],
            facility=place,
            weekday=day,
            starts=begin,
            ends=end,
        )
        for day in WEEK
    )


@pytest.mark.parametrize(
    ("now", "night"), [(BEFORE_SPRING, SPRING), (BEFORE_AUTUMN, AUTUMN)], ids=["spring", "autumn"]
)
def test_in_the_night_of_a_clock_change_in_two_zones(now: datetime, night: str) -> None:
    with clock.at(now):
        built = held_practice()
        OpeningHours.objects.update(opens=time(0), closes=time(23, 59))
        works(built, Credential.OCCUPATIONAL_THERAPIST, built.east, time(0), time(5))
        works(built, Credential.PERSONAL_TRAINER, built.west, time(0), time(5))
        client = open_client(built, built.east, built.west)
        page = whole_page(built, client, night, night, latest="05:00", page_size=40)
        assert {one["facility_name"] for one in page["results"]} == {"East", "West"}
        offsets = {one["starts_at"][-6:] for one in page["results"]}
        assert offsets == {"-04:00", "-05:00", "-07:00", "-08:00"}
        each_is_booked(built, page)


@pytest.mark.parametrize("way", [35, None], ids=["way on record", "way unknown"])
def test_among_sessions_classes_absences_and_closures_at_two_places(
    built: Built, way: int | None
) -> None:
    works(built, Credential.PHYSICAL_THERAPIST, built.west, time(10), time(13))
    if way is not None:
        places = {"facility_id": str(built.east.pk), "other_facility_id": str(built.west.pk)}
        of_owner(built, "travel-times", **places, minutes=way)
    marco, olga = (
        who(built, one) for one in (Credential.MASSAGE_THERAPIST, Credential.OCCUPATIONAL_THERAPIST)
    )
    client, room = open_client(built, built.east, built.west), str(built.rooms["East 1"].pk)
    book(built, open_client(built), start(TUESDAY))
    book(built, open_client(built), start(TUESDAY, "12:15"), room_id=room)
    class_made(built, start(TUESDAY, "14:00"))
    book(built, client, start(TUESDAY, "16:00"), practitioner_id=marco)
    absent = {"starts_at": start(TUESDAY, "08:00"), "ends_at": start(TUESDAY, "11:00")}
    of_owner(built, "absences", practitioner_id=olga, kind="training", **absent)
    shut = {"starts_at": start(TUESDAY, "11:00"), "ends_at": start(TUESDAY, "12:00")}
    of_owner(built, "closures", facility_id=str(built.east.pk), reason="A pipe.", **shut)
    page = whole_page(built, client, TUESDAY, TUESDAY, page_size=40)
    assert len({one["practitioner_name"] for one in page["results"]}) == 4
    booked = each_is_booked(built, page)
    assert not codes(booked) & {"buffer", "travel", "outside_working_hours", "facility_closed"}
    assert ("travel_unknown" in codes(booked)) is (way is None)


def test_of_a_kind_with_buffers_in_a_private_room_beside_held_times(built: Built) -> None:
    Room.objects.filter(name="East 1").update(is_private=False)
    room = str(built.rooms["East 2"].pk)
    made = of_owner(
        built,
        "session-kinds",
        name="Long treatment",
        purpose="treatment",
        default_minutes=75,
        lengths=[75],
        buffer_before=15,
        buffer_after=30,
        private_room=True,
    )
    book(
        built,
        open_client(built),
        start(TUESDAY, "10:00"),
        room_id=room,
        kind_id=made["id"],
        minutes=75,
    )
    book(built, open_client(built), start(TUESDAY, "14:10"))
    held = {"weekday": 2, "starts": "15:00", "ends": "16:00"}
    of_owner(
        built, "held-slots", practitioner_id=paula(built), facility_id=str(built.east.pk), **held
    )
    alone: dict[str, Any] = {"practitioner_id": paula(built), "page_size": 40}
    page = whole_page(built, open_client(built), TUESDAY, TUESDAY, kind_id=made["id"], **alone)
    assert page["next_cursor"] is None
    assert {one["room_name"] for one in page["results"]} == {"East 2"}

    booked = each_is_booked(built, page, kind_id=made["id"])
    assert not codes(booked) & {"buffer", "kind_private_room"}
    evaluation = whole_page(
        built,
        open_client(built),
        TUESDAY,
        TUESDAY,
        purpose="evaluation",
        practitioner_id=paula(built),
        earliest="14:00",
    )
    assert any(one["starts_at"][11:13] == "15" for one in evaluation["results"])
    each_is_booked(built, evaluation, purpose="evaluation")


def test_of_a_kind_that_is_never_by_hand(built: Built) -> None:
    made = of_owner(
        built,
        "session-kinds",
        name="Exercise",
        purpose="treatment",
        default_minutes=45,
        lengths=[45],
        hands_on=False,
    )
    page = whole_page(built, open_client(built), kind_id=made["id"])
    assert {one["mode"] for one in page["results"]} == {"self_directed"}
    each_is_booked(built, page, kind_id=made["id"])


@pytest.mark.parametrize("hands_on", ["true", "false"])
def test_around_the_day_on_which_consent_ends(built: Built, hands_on: str) -> None:
    client = registered(built)
    ends = msgspec.structs.replace(consent(), until=date.fromisoformat("2026-03-18"))
    tell(
        built,
        client,
        ends,
        reviewed(),
        not_today(BodySite(region=Region.HEAD_AND_NECK, side=Side.BOTH)),
    )
    page = whole_page(built, client, hands_on=hands_on)
    by_hand = {one["starts_at"][:10] for one in page["results"] if one["mode"] == "hands_on"}
    assert by_hand == {MONDAY, TUESDAY, "2026-03-18"}
    assert ({one["mode"] for one in page["results"]} == {"hands_on"}) is (hands_on == "true")
    each_is_booked(built, page)
    if hands_on == "true":
        each_is_booked(built, page, requested_mode="hands_on")


def test_for_a_client_who_prefers_and_agreed_to_an_exception(built: Built) -> None:
    client = open_client(built)
    tell(built, client, prefers(Gender.WOMAN))
    agreed = {
        "practitioner_id": who(built, Credential.MASSAGE_THERAPIST),
        "agreed_how": "in person",
        "until": "2026-03-18",
    }
    path = f"clients/{client}/provider-preference/exceptions"
    ok(built.api(Role.OWNER).post(path, agreed, key=key()), 201)
    page = whole_page(built, client)
    with_marco = {
        one["starts_at"][:10] for one in page["results"] if one["practitioner_name"] == "Marco"
    }
    assert max(with_marco) <= "2026-03-18"
    each_is_booked(built, page)


@pytest.mark.parametrize("covered", ["true", "false"])
def test_where_an_authorization_runs_out(built: Built, covered: str) -> None:
    client = open_client(built)
    sent = {
        "payer_id": str(payer().pk),
        "number": "PA-417",
        "member_id": "LHP-99812",
        "starts_on": "2026-03-01",
        "ends_on": "2026-03-20",
        "visits": 2,
        "units": 20,
    }
    ok(built.api(Role.FRONT_DESK).post(f"clients/{client}/authorizations", sent), 201)
    book(built, client, start(TUESDAY))
    page = whole_page(built, client, MONDAY, SUNDAY, covered=covered)
    days = {one["starts_at"][:10] for one in page["results"]}
    assert (max(days) <= "2026-03-20") is (covered == "true")
    assert "Marco" in {one["practitioner_name"] for one in page["results"]} or covered == "true"
    booked = each_is_booked(built, page)
    assert codes(booked) & {"authorization_running_out", "authorization_used_up"}


@pytest.mark.parametrize("with_unsuitable", ["true", "false"])
def test_around_times_that_do_not_suit(built: Built, with_unsuitable: str) -> None:
    client, owner = open_client(built), built.api(Role.OWNER)
    unsuitable = {"weekday": 2, "starts": "08:00", "ends": "12:00", "reason": "chemotherapy"}
    version = ok(owner.get(f"clients/{client}"))["version"]
    sent = {"unsuitable_times": [unsuitable]}
    ok(owner.send("PATCH", f"clients/{client}", sent, match=version))
    page = whole_page(built, client, TUESDAY, TUESDAY, with_unsuitable=with_unsuitable)
    booked = each_is_booked(built, page)
    assert ("unsuitable_time" in codes(booked)) is (with_unsuitable == "true")


@pytest.mark.holidays
def test_on_worked_holidays_far_ahead_beyond_what_is_planned(built: Built) -> None:
    """More than six months ahead, where the practice asks to see that the year is right."""
    PracticeSetting.objects.filter(key="far_ahead_months").update(value=6)
    client = open_client(built)
    ok(built.api(Role.OWNER).send("PATCH", f"clients/{client}", {"planned_sessions_per_week": 1}))
    book(built, client, start("2026-09-10"))
    page = whole_page(built, client, "2026-09-04", "2026-09-14", page_size=25)
    booked = each_is_booked(built, page)
    assert {"far_ahead", "on_public_holiday", "more_than_planned"} <= codes(booked)


def test_by_all_filters_at_once(built: Built) -> None:
    narrow = {"gender": "man", "weekdays": "2,4", "part_of_day": "afternoon", "latest": "15:30"}
    narrow |= {"credential": "massage_therapist", "private_room": "true", "hands_on": "true"}
    places: dict[str, Any] = {"facility_id": str(built.east.pk), "minutes": 45, "earliest": "12:30"}
    page = whole_page(built, open_client(built), **narrow, **places)
    assert {one["practitioner_name"] for one in page["results"]} == {"Marco"}
    each_is_booked(built, page)
