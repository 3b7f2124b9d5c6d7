"""A series over HTTP: each time is booked as it would be alone, and says why where it cannot."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from clients.preference.domain.terms import PreferenceScope
from practice.clock import clock
from practice.core.terms import Credential, Gender, Role
from sessions.calendar.models import Session
from sessions.series.models import SessionSeries
from tests.builders import Built, ok, refused
from tests.sessions.booking.http import book, key
from tests.sessions.people import open_client, prefers, registered, tell
from tests.sessions.series.http import (
    DAYS,
    NOW,
    book_series,
    held_practice,
    send,
    series,
    series_body,
    start,
    starts,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def test_every_time_of_the_rule_is_booked_hands_on_where_that_is_permitted(built: Built) -> None:
    room = str(built.rooms["East 1"].pk)
    answer = book_series(built, open_client(built), room_id=room)
    assert (answer["booked"], answer["refused"]) == (4, 0)
    assert starts(answer, "booked") == [start(day) for day in DAYS]
    for one in answer["occurrences"]:
        assert one["refusal"] is None
        assert one["session"]["mode"] == "hands_on"
        assert one["session"]["room_name"] == "East 1"
        assert one["session"]["series_exception"] == ""
    listed = ok(built.api(Role.FRONT_DESK).get("sessions", {"series_id": answer["id"]}))
    assert [one["series_id"] for one in listed["results"]] == [answer["id"]] * 4


def test_one_client_sees_no_session_of_another_series(built: Built) -> None:
    first = book_series(built, open_client(built))
    book_series(built, open_client(built), starts_at={"local": "2026-03-17T13:00"})
    found = ok(built.api(Role.FRONT_DESK).get("sessions", {"series_id": first["id"]}))
    assert len(found["results"]) == 4


def test_what_cannot_be_booked_says_why_and_the_rest_is_booked(built: Built) -> None:
    """As booking it alone would say, with the clash on the facility's clock."""
    book(built, open_client(built), start(DAYS[1], "10:00"))
    client = open_client(built)
    answer = book_series(built, client)
    assert (answer["booked"], answer["refused"]) == (3, 1)
    (missed,) = [one for one in answer["occurrences"] if one["result"] == "refused"]
    assert missed["starts_at"] == start(DAYS[1])
    assert missed["session"] is None
    alone = series_body(built, client, starts_at=start(DAYS[1]))
    del alone["recurrence"]
    said = refused(send(built, "sessions", alone), 409, "time_taken")
    for part in ("code", "detail", "taken", "conflicts"):
        assert missed["refusal"][part] == said[part]
    shown = series(built, answer["id"])
    assert [one["starts_at"] for one in shown["not_booked"]] == [start(DAYS[1])]
    assert shown["not_booked"][0]["code"] == "time_taken"
    assert len(shown["sessions"]) == 3


def test_all_or_nothing_books_none_and_says_of_each_why(built: Built) -> None:
    book(built, open_client(built), start(DAYS[1], "10:00"))
    client = open_client(built)
    sent = series_body(built, client, all_or_nothing=True)
    problem = refused(send(built, "session-series", sent), 409, "series_refused")
    assert problem["detail"].startswith("1 of 4 cannot be booked, so none is.")
    assert [one["result"] for one in problem["occurrences"]] == [
        "booked",
        "refused",
        "booked",
        "booked",
    ]
    assert problem["occurrences"][1]["refusal"]["taken"] == ["practitioner"]
    assert not Session.objects.filter(client_id=client).exists()
    assert not SessionSeries.objects.exists()
    assert ok(
        send(built, "session-series", sent | {"starts_at": {"local": "2026-03-17T14:00"}}), 201
    )


def test_where_none_can_be_booked_it_is_a_refusal_and_no_empty_series(built: Built) -> None:
    client = open_client(built)
    tell(built, client, prefers(Gender.WOMAN, PreferenceScope.ALL_WORK))
    marco = str(built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    answer = send(built, "session-series", series_body(built, client, practitioner_id=marco))
    problem = refused(answer, 409, "none_booked")
    assert {one["refusal"]["code"] for one in problem["occurrences"]} == {"against_preference"}
    assert problem["reasons"] == problem["occurrences"][0]["refusal"]["reasons"] != []
    assert not SessionSeries.objects.exists()


def test_reasons_of_health_are_general_to_the_desk_in_the_refusal_of_each(built: Built) -> None:
    """Ruling 20: one general code, since the code itself would tell."""
    sent = series_body(built, registered(built), requested_mode="hands_on")
    desk = refused(send(built, "session-series", sent), 409, "none_booked")
    owner = refused(send(built, "session-series", sent, Role.OWNER), 409, "none_booked")
    told = {one["code"] for one in desk["occurrences"][0]["refusal"]["reasons"]}
    known = {one["code"] for one in owner["occurrences"][0]["refusal"]["reasons"]}
    assert "health" in told
    assert told - {"health"} < known
    assert "health" not in known


def test_each_is_judged_by_its_own_day(built: Built) -> None:
    """A consent that ends between two sessions leaves the later ones self-directed."""
    client = open_client(built)
    with clock.at(NOW + timedelta(days=300)):
        late = {"starts_at": {"local": "2027-02-23T09:30"}, "recurrence": "FREQ=WEEKLY;COUNT=4"}
        answer = book_series(built, client, **late)
    modes = [one["session"]["mode"] for one in answer["occurrences"]]
    assert modes == ["hands_on", "hands_on", "hands_on", "self_directed"]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"recurrence": "FREQ=WEEKLY"}, "recurrence"),
        ({"minutes": 5}, "ends_at"),
        ({"starts_at": {"local": "2026-03-03T09:30"}}, "starts_at"),
        ({"starts_at": {"local": "2026-03-17T09:30", "fold": "later"}}, "starts_at"),
        ({"requested_mode": "not_today"}, "requested_mode"),
        ({"room_id": str(uuid4())}, "room_id"),
    ],
)
def test_what_was_typed_wrong_is_refused_as_a_whole(
    built: Built, change: dict[str, object], field: str
) -> None:
    answer = send(built, "session-series", series_body(built, open_client(built), **change))
    assert answer.status_code == 400
    assert [one["field"] for one in answer.json()["errors"]] == [field]
    assert not Session.objects.exists()


def test_a_repeat_books_nothing_twice_and_without_a_key_nothing_is_booked(built: Built) -> None:
    sent, same = series_body(built, open_client(built)), key()
    desk = built.api(Role.FRONT_DESK)
    first = ok(desk.post("session-series", sent, key=same), 201)
    assert ok(desk.post("session-series", sent, key=same), 201) == first
    assert Session.objects.count() == 4
    refused(desk.post("session-series", sent), 400, "idempotency_key_required")


def test_a_client_and_a_series_of_another_place_are_not_there(built: Built) -> None:
    stranger = open_client(built, built.west)
    answer = send(built, "session-series", series_body(built, stranger))
    assert refused(answer, 404, "not_found")
    west = {"facility_id": str(built.west.pk), "starts_at": {"local": "2026-03-17T09:30"}}
    made = ok(send(built, "session-series", series_body(built, stranger, **west), Role.OWNER), 201)
    assert built.api(Role.FRONT_DESK).get(f"session-series/{made['id']}").status_code == 404
    assert series(built, made["id"], Role.OWNER)["zone"] == "America/Los_Angeles"


def test_a_withdrawal_flags_the_sessions_of_a_series_like_any_other(built: Built) -> None:
    client = open_client(built)
    made = book_series(built, client)
    tell(built, client, ConsentWithdrawn(consent_id=None, reason=""))
    assert {one["flagged"] for one in series(built, made["id"])["sessions"]} == {True}


def test_the_answer_counts_at_its_top_what_is_against_the_calendar(built: Built) -> None:
    """The facility is open from Monday to Friday."""
    hours = [{"weekday": day, "opens": "08:00", "closes": "18:00"} for day in range(1, 6)]
    ok(built.api(Role.OWNER).change(f"facilities/{built.east.pk}", {"opening_hours": hours}))
    plain = book_series(built, open_client(built))
    assert against(plain) == (0, 0, 0)
    weekend = book_series(built, open_client(built), recurrence="FREQ=WEEKLY;BYDAY=FR,SU;COUNT=4")
    assert weekend["booked"] == 4
    assert against(weekend)[0] == 2


def test_an_overruled_day_counts_as_closed_at_the_top(built: Built) -> None:
    closure = {
        "facility_id": str(built.east.pk),
        "first_day": DAYS[0],
        "last_day": DAYS[0],
        "reason": "snow",
    }
    ok(send(built, "closures", closure, Role.OWNER), 201)
    answer = book_series(built, open_client(built), overrule="They come in for it.")
    assert (answer["booked"], against(answer)) == (4, (1, 0, 0))


def against(answer: dict[str, Any]) -> tuple[int, ...]:
    names = ("on_closed_days", "outside_working_hours", "on_public_holidays")
    return tuple(answer[name] for name in names)
