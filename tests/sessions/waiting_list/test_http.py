"""The waiting list over HTTP: who fits a time that came free, offers and their answers."""

from __future__ import annotations

from collections.abc import Iterator
from uuid import uuid4

import pytest

from clients.preference.domain.terms import PreferenceScope
from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Credential, Gender, Role
from practice.policy.models import PracticeSetting
from tests.builders import Built, ok, refused
from tests.sessions.booking.http import book
from tests.sessions.people import open_client, prefers, registered, tell
from tests.sessions.series.http import (
    NOW,
    held_practice,
    send,
    start,
)
from tests.sessions.waiting_list.http import (
    answer,
    call_off,
    clients,
    free,
    later,
    waits,
    who_fits,
)

pytestmark = pytest.mark.django_db
DAY = "2026-03-17"
TEN = start(DAY, "10:00")


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def test_an_entry_is_shown_as_it_was_asked_for_with_name_and_phone(built: Built) -> None:
    client = open_client(built)
    wishes = {
        "weekdays": [4, 2, 2],
        "earliest": "09:00",
        "latest": "12:30",
        "first_day": "2026-03-09",
        "last_day": "2026-04-30",
        "facility_ids": [str(built.east.pk)],
        "note": "At an hour's notice.",
    }
    added = waits(built, client, **wishes)
    shown = ok(built.api(Role.FRONT_DESK).get(f"waiting-list/{added['id']}"))
    assert shown == added
    assert (shown["client_name"], shown["status"]) == ("Rosa Marsh", "waiting")
    assert (shown["earliest"], shown["latest"]) == ("09:00:00", "12:30:00")
    assert shown["weekdays"] == [2, 4]
    listed = ok(built.api(Role.FRONT_DESK).get("waiting-list", {"status": "waiting"}))
    assert [one["id"] for one in listed["results"]] == [added["id"]]


@pytest.mark.parametrize(
    ("wishes", "field"),
    [
        ({"minutes": 14}, "minutes"),
        ({"minutes": 181}, "minutes"),
        ({"earliest": "10:00", "latest": "10:59"}, "latest"),
        ({"earliest": "23:30"}, "latest"),
        ({"last_day": "2026-03-08"}, "last_day"),
        ({"first_day": "2026-04-02", "last_day": "2026-04-01"}, "last_day"),
        ({"weekdays": [0]}, "weekdays.0"),
        ({"weekdays": [8]}, "weekdays.0"),
    ],
)
def test_what_no_time_can_suit_is_refused(
    built: Built, wishes: dict[str, object], field: str
) -> None:
    client = open_client(built)
    sent = {"minutes": 60, **wishes}
    answered = built.api(Role.FRONT_DESK).post(f"clients/{client}/waiting", sent)
    assert answered.status_code == 400
    assert [one["field"] for one in answered.json()["errors"]] == [field]


@pytest.mark.parametrize(
    "wishes",
    [
        {"minutes": 15},
        {"minutes": 180},
        {"earliest": "10:00", "latest": "11:00"},
        {"last_day": "2026-03-09"},
        {"first_day": "2026-04-01", "last_day": "2026-04-01"},
    ],
)
def test_what_one_time_could_suit_is_taken(built: Built, wishes: dict[str, object]) -> None:
    waits(built, open_client(built), **wishes)


def test_who_waits_longest_is_named_first(built: Built) -> None:
    second, first, third = (open_client(built) for _ in range(3))
    later(built, 2, second)
    waits(built, first)
    later(built, 3, third)
    assert clients(who_fits(built, TEN)) == [str(first), str(second), str(third)]


def test_only_who_may_lawfully_be_booked_there_is_named(built: Built) -> None:
    """By preference, by other sessions of the client, and by whom the caller sees."""
    fits, against, busy = (open_client(built) for _ in range(3))
    far = open_client(built, built.west)
    for one in (fits, against, busy):
        waits(built, one)
    ok(built.api(Role.OWNER).post(f"clients/{far}/waiting", {"minutes": 60}), 201)
    tell(built, against, prefers(Gender.MAN, PreferenceScope.ALL_WORK))
    olga = str(built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk)
    book(built, busy, start(DAY, "10:30"), practitioner_id=olga)
    assert clients(who_fits(built, TEN)) == [str(fits)]
    assert clients(who_fits(built, TEN, Role.OWNER)) == [str(fits)]


def test_a_time_that_is_taken_suits_nobody(built: Built) -> None:
    waits(built, open_client(built))
    book(built, open_client(built), start(DAY, "10:30"))
    assert who_fits(built, TEN) == {"results": [], "more": False}


def test_a_fit_says_as_what_it_would_be_planned(built: Built) -> None:
    waits(built, registered(built))
    (fit,) = who_fits(built, TEN)["results"]
    assert fit["mode"] == "self_directed"
    assert "health" in {one["code"] for one in fit["reasons"]}
    assert (fit["starts_at"], fit["ends_at"]) == (TEN, start(DAY, "11:00"))


def test_an_evaluation_is_not_offered_with_who_does_not_evaluate(built: Built) -> None:
    client = open_client(built)
    waits(built, client, purpose="evaluation")
    marco = str(built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    assert clients(who_fits(built, TEN, practitioner_id=marco)) == []
    assert clients(who_fits(built, TEN)) == [str(client)]


def test_a_cancellation_tells_the_desk_who_waits_longest_and_how_many(built: Built) -> None:
    booked = book(built, open_client(built), TEN)
    waiting = [open_client(built) for _ in range(4)]
    for minute, one in enumerate(waiting):
        later(built, minute, one)
    read = AccessEntry.objects.count()
    told = call_off(built, booked["id"])["waiting_fits"]
    assert (told["count"], told["more"]) == (4, False)
    assert [one["client_id"] for one in told["first"]] == [str(one) for one in waiting[:3]]
    assert {"client_name", "client_phone"} <= told["first"][0].keys()
    named = AccessEntry.objects.order_by("pk")[read:].values_list("client_id", flat=True)
    assert set(named) == set(waiting[:3])
    found = ok(built.api(Role.FRONT_DESK).get("waiting-fits", {"free_session_id": booked["id"]}))
    assert clients(found) == [str(one) for one in waiting]


def test_a_session_for_the_wrong_client_frees_its_time_as_a_cancelled_one(built: Built) -> None:
    booked, waiting = book(built, open_client(built), TEN)["id"], open_client(built)
    waits(built, waiting)
    why, path = {"reason": "It was for a sister."}, f"sessions/{booked}"
    told = ok(send(built, f"{path}/entry-in-error", why))["waiting_fits"]
    assert [one["client_id"] for one in told["first"]] == [str(waiting)]
    found = ok(built.api(Role.FRONT_DESK).get("waiting-fits", {"free_session_id": booked}))
    assert clients(found) == [str(waiting)]
    undone = {"status": "booked", "reason": "It was theirs."}
    problem = refused(send(built, f"{path}/correction", undone), 409, "nothing_to_correct")
    assert "book it anew: POST /sessions" in problem["detail"]


def test_one_that_was_called_off_before_frees_nothing_more_in_error(built: Built) -> None:
    booked = book(built, open_client(built), TEN)["id"]
    waits(built, open_client(built))
    call_off(built, booked)
    done = ok(send(built, f"sessions/{booked}/entry-in-error", {"reason": "It never was."}))
    assert done["waiting_fits"]["count"] == 0


def test_how_many_are_looked_at_and_named_are_settings(built: Built) -> None:
    for minute in range(3):
        later(built, minute, open_client(built))
    ours = PracticeSetting.objects.filter(group="waiting_list")
    ours.filter(key="most_evaluated").update(value=2)
    ours.filter(key="named_at_cancellation").update(value=1)
    booked = book(built, open_client(built), start(DAY, "15:00"))
    told = call_off(built, booked["id"])["waiting_fits"]
    assert (told["count"], told["more"], len(told["first"])) == (2, True, 1)


def test_the_client_who_called_off_may_be_among_them_and_nobody_is_for_the_past(
    built: Built,
) -> None:
    client = open_client(built)
    booked = book(built, client, start("2026-03-09", "12:00"))
    waits(built, client)
    assert call_off(built, booked["id"])["waiting_fits"]["count"] == 0


def test_a_move_tells_of_the_time_that_it_left(built: Built) -> None:
    waiting = open_client(built)
    waits(built, waiting, latest="11:00")
    booked = book(built, open_client(built), TEN)
    path, why = f"sessions/{booked['id']}/move", {"reason": "Asked for it."}
    half = ok(send(built, path, {"starts_at": start(DAY, "10:30"), **why}))
    assert half["waiting_fits"]["count"] == 0
    moved = ok(send(built, path, {"starts_at": start(DAY, "14:00"), **why}))
    assert moved["waiting_fits"]["count"] == 0
    back = ok(send(built, path, {"starts_at": TEN, **why}))
    assert back["waiting_fits"]["count"] == 0
    gone = ok(send(built, path, {"starts_at": start(DAY, "15:00"), **why}))
    assert [one["client_id"] for one in gone["waiting_fits"]["first"]] == [str(waiting)]


def test_an_entry_of_a_client_at_another_place_is_not_there(built: Built) -> None:
    far = open_client(built, built.west)
    made = ok(built.api(Role.OWNER).post(f"clients/{far}/waiting", {"minutes": 60}), 201)["id"]
    desk = built.api(Role.FRONT_DESK)
    assert desk.get(f"waiting-list/{made}").status_code == 404
    assert desk.post(f"clients/{far}/waiting", {"minutes": 60}).status_code == 404
    assert answer(built, made, "withdrawal", {"reason": "No."}).status_code == 404
    assert ok(desk.get("waiting-list"))["results"] == []
    west = {"minutes": 60, "facility_ids": [str(built.west.pk)]}
    mine = open_client(built)
    assert desk.post(f"clients/{mine}/waiting", west).status_code == 404
    assert desk.get("waiting-fits", {"free_session_id": str(uuid4())}).status_code == 404
    there = free(built, TEN, facility_id=str(built.west.pk))
    assert desk.get("waiting-fits", there).status_code == 404
