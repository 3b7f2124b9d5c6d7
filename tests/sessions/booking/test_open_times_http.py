"""Open times over HTTP: across facilities, filtered, in pages, who was left out and why."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from practice.clock import clock
from practice.core.terms import Activity, Allowance, Credential, Gender, Role
from practice.people_and_places.models.facilities import OpeningHours
from practice.people_and_places.models.practitioners import WorkingHours
from practice.policy.models import PracticeSetting
from tests.builders import Built, build_practice, limit, ok, refused
from tests.sessions.booking.http import book, key, local
from tests.sessions.people import consent, open_client, prefers, registered, reviewed, tell

pytestmark = pytest.mark.django_db

ZONES = {"East": "America/New_York", "West": "America/Los_Angeles"}


@pytest.fixture
def built() -> Built:
    return build_practice()


def asked(client_id: UUID, first: int = 2, last: int = 8, **more: Any) -> dict[str, Any]:
    days = {"from": local(first)[:10], "to": local(last)[:10]}
    return {"client_id": str(client_id), "minutes": 60, **days, **more}


def found(built: Built, query: dict[str, Any], role: Role = Role.OWNER) -> Any:
    return ok(built.api(role).get("open-times", query))


def clock_of(offer: dict[str, Any]) -> datetime:
    return datetime.fromisoformat(offer["starts_at"])


def open_in(built: Built, place: str, credential: Credential) -> None:
    """Working hours in the west too, in the evening."""
    WorkingHours.objects.bulk_create(
        WorkingHours(
            practitioner=built.practitioners[credential],
            facility=getattr(built, place),
            weekday=day,
            starts="18:00",
            ends="20:00",
        )
        for day in range(1, 8)
    )


def every_page(built: Built, query: dict[str, Any]) -> list[dict[str, Any]]:
    results, cursor = [], None
    for _ in range(60):
        page = found(built, {**query, **({"cursor": cursor} if cursor else {})})
        results += page["results"]
        cursor = page["next_cursor"]
        if cursor is None:
            return results
    raise AssertionError("the pages never end")


def test_without_a_facility_all_that_the_caller_sees_are_asked_on_their_own_clocks(
    built: Built,
) -> None:
    open_in(built, "west", Credential.PHYSICAL_THERAPIST)
    client = open_client(built, built.east, built.west)
    answer = found(built, asked(client, page_size=200))
    assert {one["facility_name"] for one in answer["results"]} == {"East", "West"}
    for one in answer["results"]:
        at = clock_of(one)
        assert at.utcoffset() == at.astimezone(ZoneInfo(ZONES[one["facility_name"]])).utcoffset()
    of_desk = found(built, asked(client, page_size=200), Role.FRONT_DESK)
    assert {one["facility_name"] for one in of_desk["facilities"]} == {"East"}
    assert {one["facility_name"] for one in of_desk["results"]} == {"East"}


@pytest.mark.parametrize("order", ["spread", "time"])
def test_pages_offer_each_time_once(built: Built, order: str) -> None:
    query = asked(open_client(built), facility_id=str(built.east.pk), order=order)
    paged = every_page(built, {**query, "page_size": 37, "earliest": "10:00", "latest": "13:00"})
    keys = [(one["starts_at"], one["practitioner_id"]) for one in paged]
    assert len(set(keys)) == len(keys) == 7 * 3 * 9
    if order == "time":
        assert keys == sorted(keys, key=lambda one: datetime.fromisoformat(one[0]))


def test_a_first_page_is_of_many_days_and_the_earliest_are_asked_for_by_time(built: Built) -> None:
    query = asked(open_client(built), 1, 28, facility_id=str(built.east.pk))
    spread = found(built, query)["results"]
    assert len({one["starts_at"][:10] for one in spread}) == len(spread) == 20
    assert len({clock_of(one).hour for one in spread}) >= 5
    assert len({one["practitioner_id"] for one in spread}) == 3
    by_time = found(built, {**query, "order": "time"})["results"]
    assert {one["starts_at"][:10] for one in by_time} == {local(1)[:10]}


def test_a_cursor_of_other_filters_is_refused(built: Built) -> None:
    query = asked(open_client(built), facility_id=str(built.east.pk), page_size=2)
    cursor = found(built, query)["next_cursor"]
    other = {**query, "cursor": cursor, "gender": "woman"}
    refused(built.api(Role.OWNER).get("open-times", other), 400, "invalid_cursor")


@pytest.mark.parametrize(
    ("narrowed", "holds"),
    [
        ({"gender": "man"}, lambda one: one["practitioner_name"] == "Marco"),
        (
            {"credential": "occupational_therapist"},
            lambda one: one["credential"] == "occupational_therapist",
        ),
        ({"weekdays": "2,4"}, lambda one: clock_of(one).isoweekday() in (2, 4)),
        ({"part_of_day": "morning"}, lambda one: clock_of(one).hour < 12),
        ({"part_of_day": "afternoon"}, lambda one: 12 <= clock_of(one).hour < 17),
        ({"part_of_day": "evening"}, lambda one: clock_of(one).hour >= 17),
        ({"earliest": "15:30"}, lambda one: one["starts_at"][11:16] >= "15:30"),
        ({"latest": "09:30"}, lambda one: one["ends_at"][11:16] <= "09:30"),
        ({"minutes": 90}, lambda one: one["ends_at"] != one["starts_at"]),
    ],
)
def test_each_filter_leaves_only_what_it_says(
    built: Built, narrowed: dict[str, Any], holds: Any
) -> None:
    query = asked(open_client(built), facility_id=str(built.east.pk), page_size=200)
    every, some = found(built, query)["results"], found(built, {**query, **narrowed})["results"]
    assert some
    assert all(holds(one) for one in some)
    assert not all(holds(one) for one in every) or narrowed == {"minutes": 90}


@pytest.mark.parametrize(
    ("narrowed", "field"),
    [
        ({"weekdays": "0"}, "weekdays"),
        ({"weekdays": "2;4"}, "weekdays"),
        ({"part_of_day": "noon"}, "part_of_day"),
        ({"earliest": "9"}, "earliest"),
        ({"earliest": "10:00", "latest": "10:00"}, "latest"),
        ({"private_room": "yes"}, "private_room"),
        ({"order": "best"}, "order"),
        ({"page_size": 0}, "page_size"),
    ],
)
def test_a_filter_that_cannot_be_is_refused_with_its_name(
    built: Built, narrowed: dict[str, Any], field: str
) -> None:
    answer = built.api(Role.OWNER).get("open-times", asked(open_client(built), **narrowed))
    problem = refused(answer, 400, "invalid")
    assert [one["field"] for one in problem["errors"]] == [field]


def test_a_closed_day_says_why_and_is_not_offered(built: Built) -> None:
    first = date.fromisoformat(local(2)[:10])
    PracticeSetting.objects.filter(group="calendar", key="closed_days").update(
        value=[first.isoformat()]
    )
    OpeningHours.objects.filter(
        facility=built.east, weekday=(first + timedelta(days=1)).isoweekday()
    ).delete()
    answer = found(built, asked(open_client(built), facility_id=str(built.east.pk), page_size=200))
    days = {one["starts_at"][:10] for one in answer["results"]}
    assert len(days) == 5
    (place,) = answer["facilities"]
    assert place["closed_weekdays"] == [(first + timedelta(days=1)).isoweekday()]
    assert [(one["day"], one["reason"]["code"]) for one in place["closed_days"]] == [
        (first.isoformat(), "closed_day")
    ]


def test_who_was_left_out_is_named_with_the_reasons_once(built: Built) -> None:
    client = open_client(built, built.east, built.west)
    tell(built, client, prefers(Gender.WOMAN))
    answer = found(built, asked(client))
    told = {
        (one["practitioner_name"], one["facility_name"]): [r["code"] for r in one["reasons"]]
        for one in answer["excluded"]
    }
    assert told == {
        ("Marco", "East"): ["preference.all_work"],
        ("Marco", "West"): ["no_working_hours"],
        ("Paula", "West"): ["no_working_hours"],
    }


def test_with_whom_nothing_at_all_is_allowed_is_left_out(built: Built) -> None:
    barred = {"activity": Activity.EXERCISE_INSTRUCTION}
    limit("US-CA", Credential.PERSONAL_TRAINER, Allowance.NOT_ALLOWED, **barred)
    answer = found(built, asked(open_client(built, built.west), facility_id=str(built.west.pk)))
    assert answer["results"] == []
    (tessa,) = (one for one in answer["excluded"] if one["practitioner_name"] == "Tessa")
    assert {"law.not_allowed", "law.instruction"} <= {one["code"] for one in tessa["reasons"]}
    assert (tessa["first_day"], tessa["last_day"]) == (local(2)[:10], local(8)[:10])


def test_by_hand_only_where_it_can_be_and_the_reasons_stand_once(built: Built) -> None:
    client = registered(built)
    query = asked(client, 2, 2, facility_id=str(built.east.pk))
    answer = found(built, query)
    assert {one["mode"] for one in answer["results"]} == {"self_directed"}
    numbers = {number for one in answer["results"] for number in one["reasons"]}
    assert {str(number) for number in numbers} <= answer["reason_texts"].keys()
    assert len({str(one) for one in answer["reason_texts"].values()}) == len(answer["reason_texts"])
    by_hand = found(built, {**query, "hands_on": "true"})
    assert by_hand["results"] == []
    assert {one["practitioner_name"] for one in by_hand["excluded"]} == {"Paula", "Olga", "Marco"}
    assert all(one["reasons"] for one in by_hand["excluded"])


def test_consent_that_ends_in_the_asked_time_ends_what_is_by_hand(built: Built) -> None:
    client = registered(built)
    given = consent()
    ends = date.fromisoformat(local(4)[:10])
    tell(built, client, type(given)(**{**_fields(given), "until": ends}), reviewed())
    query = asked(client, facility_id=str(built.east.pk), page_size=200, hands_on="true")
    answer = found(built, query)
    assert max(one["starts_at"][:10] for one in answer["results"]) == ends.isoformat()
    left_out = {(one["practitioner_name"], one["first_day"]) for one in answer["excluded"]}
    after = (ends + timedelta(days=1)).isoformat()
    assert left_out == {("Paula", after), ("Olga", after), ("Marco", after)}


def _fields(event: Any) -> dict[str, Any]:
    return {name: getattr(event, name) for name in event.__struct_fields__}


@pytest.mark.parametrize("gender", [None, Gender.WOMAN])
def test_times_of_any_page_can_be_booked_as_they_are_offered(
    built: Built, gender: Gender | None
) -> None:
    """Among held times of several clients, at two facilities, in both orders."""
    open_in(built, "west", Credential.PHYSICAL_THERAPIST)
    for number in range(4):
        book(built, open_client(built), local(2 + number, 9 + number))
    client = open_client(built, built.east, built.west)
    book(built, client, local(3, 14))
    if gender is not None:
        tell(built, client, prefers(gender))
    api = built.api(Role.OWNER)
    for order in ("spread", "time"):
        query = asked(client, 2, 5, order=order, page_size=30)
        first = found(built, query)
        second = found(built, {**query, "cursor": first["next_cursor"]})
        for offer in [*first["results"][::7], *second["results"][::11]]:
            names = ("practitioner_id", "facility_id", "room_id", "starts_at", "ends_at")
            sent = {"client_id": str(client), **{name: offer[name] for name in names}}
            session = ok(api.post("sessions", sent, key=key()), 201)
            assert session["planned_mode"] == offer["mode"]
            codes = {one["code"] for one in session["warnings"]}
            assert not codes & {"outside_working_hours", "facility_closed"}
            cancelled = {"by": "practice", "reason": "only tried"}
            ok(api.post(f"sessions/{session['id']}/cancellation", cancelled))


def test_the_year_is_asked_for_at_once_and_no_further(built: Built) -> None:
    client, api = open_client(built), built.api(Role.OWNER)
    today = clock.now().astimezone(ZoneInfo("America/New_York")).date()
    query = asked(client, facility_id=str(built.east.pk))
    year = {**query, "from": str(today), "to": str(today + timedelta(days=365))}
    assert len(found(built, year)["results"]) == 20
    beyond = {**year, "to": str(today + timedelta(days=366))}
    refused(api.get("open-times", beyond), 400, "invalid")


def test_while_the_client_is_in_a_session_nobody_else_is_offered(built: Built) -> None:
    client = open_client(built)
    book(built, client, local(3, 12))
    query = asked(client, 3, 3, facility_id=str(built.east.pk), page_size=200)
    olga = str(built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk)
    near = {**query, "earliest": "10:30", "latest": "14:30", "practitioner_id": olga}
    starts = {one["starts_at"][11:16] for one in found(built, near)["results"]}
    assert starts == {"10:30", "10:45", "11:00", "13:00", "13:15", "13:30"}
