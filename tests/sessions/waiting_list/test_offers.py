"""Offers to those who wait, and their answers, over HTTP."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from clients.preference.domain.terms import PreferenceScope
from practice.audit import rebuild
from practice.clock import clock
from practice.core.terms import Gender, Role
from sessions.calendar.models import Session
from sessions.waiting_list.models import WaitingEntry
from tests.builders import Built, ok, refused
from tests.sessions.booking.http import book, key
from tests.sessions.people import open_client, prefers, tell
from tests.sessions.series.http import (
    NOW,
    book_series,
    cancel,
    held_practice,
    send,
    session_of,
    start,
)
from tests.sessions.waiting_list.http import (
    answer,
    call_off,
    clients,
    later,
    offer,
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


def test_an_offer_that_is_accepted_books_the_time_and_ends_the_waiting(built: Built) -> None:
    client = open_client(built)
    entry = waits(built, client)["id"]
    offered = ok(offer(built, entry, TEN), 201)
    (one,) = offered["offers"]
    assert (one["answer"], one["starts_at"], one["offered_by"]) == (
        "open",
        TEN,
        str(built.staff[Role.FRONT_DESK].pk),
    )
    assert who_fits(built, TEN)["results"][0]["offered"] is True
    session = ok(answer(built, entry, "acceptance"), 201)
    assert (session["starts_at"], session["client_id"]) == (TEN, str(client))
    shown = ok(built.api(Role.FRONT_DESK).get(f"waiting-list/{entry}"))
    assert (shown["status"], shown["session_id"]) == ("booked", session["id"])
    assert [one["answer"] for one in shown["offers"]] == ["accepted"]
    assert who_fits(built, start("2026-03-18", "10:00"))["results"] == []
    refused(answer(built, entry, "acceptance"), 409, "not_waiting")


def test_an_acceptance_is_booked_once_for_one_key(built: Built) -> None:
    entry = waits(built, open_client(built))["id"]
    ok(offer(built, entry, TEN), 201)
    same, desk = key(), built.api(Role.FRONT_DESK)
    first = ok(desk.post(f"waiting-list/{entry}/acceptance", key=same), 201)
    assert ok(desk.post(f"waiting-list/{entry}/acceptance", key=same), 201) == first
    assert Session.objects.count() == 1
    refused(desk.post(f"waiting-list/{entry}/acceptance"), 400, "idempotency_key_required")


def test_nothing_holds_an_offer_and_who_accepts_first_has_it(built: Built) -> None:
    first, second = (waits(built, open_client(built))["id"] for _ in range(2))
    for one in (first, second):
        ok(offer(built, one, TEN), 201)
    ok(answer(built, second, "acceptance"), 201)
    refused(answer(built, first, "acceptance"), 409, "time_taken")
    shown = ok(built.api(Role.FRONT_DESK).get(f"waiting-list/{first}"))
    assert (shown["status"], shown["offers"][0]["answer"]) == ("waiting", "open")


def test_an_offer_is_refused_as_booking_it_would_be(built: Built) -> None:
    client = open_client(built)
    entry = waits(built, client)["id"]
    tell(built, client, prefers(Gender.MAN, PreferenceScope.ALL_WORK))
    refused(offer(built, entry, TEN), 409, "against_preference")
    assert WaitingEntry.objects.get(pk=entry).offers == []


def test_an_offer_names_a_session_whose_time_came_free(built: Built) -> None:
    room = str(built.rooms["East 1"].pk)
    booked = book(built, open_client(built), TEN, minutes=90, room_id=room)
    entry = waits(built, open_client(built))["id"]
    path, sent = f"waiting-list/{entry}/offers", {"free_session_id": booked["id"]}
    refused(built.api(Role.FRONT_DESK).post(path, sent), 409, "time_taken")
    call_off(built, booked["id"])
    (one,) = ok(built.api(Role.FRONT_DESK).post(path, sent), 201)["offers"]
    assert (one["starts_at"], one["ends_at"]) == (TEN, start(DAY, "11:00"))
    assert one["room_id"] == room
    for wrong in ({}, {"starts_at": TEN}, {**sent, "starts_at": TEN}):
        assert built.api(Role.FRONT_DESK).post(path, wrong).status_code == 400


def test_who_declines_waits_on_at_their_place_and_the_offer_is_kept(built: Built) -> None:
    first, second = open_client(built), open_client(built)
    entry = waits(built, first)["id"]
    later(built, 1, second)
    ok(offer(built, entry, TEN), 201)
    shown = ok(answer(built, entry, "decline", {"reason": "At work then."}))
    assert (shown["status"], shown["offers"][0]["answer"]) == ("waiting", "declined")
    assert shown["offers"][0]["reason"] == "At work then."
    assert shown["offers"][0]["answered_by"] == str(built.staff[Role.FRONT_DESK].pk)
    assert clients(who_fits(built, TEN)) == [str(first), str(second)]
    refused(answer(built, entry, "decline"), 409, "no_open_offer")
    refused(answer(built, entry, "acceptance"), 409, "no_open_offer")


def test_a_later_offer_replaces_an_open_one_and_both_are_kept(built: Built) -> None:
    entry = waits(built, open_client(built))["id"]
    ok(offer(built, entry, TEN), 201)
    shown = ok(offer(built, entry, start(DAY, "14:00")), 201)
    assert [one["answer"] for one in shown["offers"]] == ["replaced", "open"]
    session = ok(answer(built, entry, "acceptance"), 201)
    assert session["starts_at"] == start(DAY, "14:00")


def test_who_withdraws_waits_no_more_and_it_is_kept(built: Built) -> None:
    client = open_client(built)
    entry = waits(built, client)["id"]
    ok(offer(built, entry, TEN), 201)
    shown = ok(answer(built, entry, "withdrawal", {"reason": "Goes on at home."}))
    assert (shown["status"], shown["ended_reason"]) == ("withdrawn", "Goes on at home.")
    assert shown["offers"][0]["answer"] == "withdrawn"
    assert who_fits(built, TEN)["results"] == []
    refused(answer(built, entry, "withdrawal", {"reason": "Again."}), 409, "not_waiting")
    refused(offer(built, entry, TEN), 409, "not_waiting")
    history = ok(built.api(Role.OWNER).get(f"clients/{client}/history", {"page_size": "50"}))
    told = [one["text"] for one in history["results"]]
    assert "The client waits for a time no more. Goes on at home." in told
    offered = "The client was offered a time that came free: 2026-03-17 10:00 (America/New_York)."
    assert offered in told


def test_the_rows_of_lists_and_series_come_again_from_the_log(built: Built) -> None:
    client = open_client(built)
    entry = waits(built, client, earliest="09:00", last_day="2026-04-30")["id"]
    for hour in ("10:00", "14:00"):
        ok(offer(built, entry, start(DAY, hour)), 201)
    ok(answer(built, entry, "acceptance"), 201)
    book(built, open_client(built), start("2026-03-19", "09:45"))
    made = book_series(built, client)
    alone = {"starts_at": start("2026-03-25", "09:30"), "reason": "A holiday."}
    ok(send(built, f"sessions/{session_of(made, 2)}/move", alone))
    ok(cancel(built, made["id"], from_day="2026-03-26"))
    assert rebuild.compare().differences == []


@pytest.mark.parametrize(
    ("wanted", "suits"),
    [
        ({}, True),
        ({"weekdays": [2], "earliest": "10:00", "latest": "11:00"}, True),
        ({"weekdays": [3]}, False),
        ({"earliest": "10:01"}, False),
        ({"latest": "10:59"}, False),
        ({"first_day": "2026-03-18"}, False),
        ({"last_day": "2026-03-16"}, False),
    ],
)
def test_an_offer_says_what_its_booking_would_and_that_it_is_not_what_was_waited_for(
    built: Built, wanted: dict[str, Any], suits: bool
) -> None:
    entry = waits(built, open_client(built), **wanted)["id"]
    offered = ok(offer(built, entry, start("2026-03-17", "10:00")), 201)
    told = {one["code"]: one["text"] for one in offered["warnings"]}
    assert ("not_as_waited_for" in told) is not suits
    if not suits:
        assert told.pop("not_as_waited_for").startswith("Tuesday 2026-03-17 at 10:00 is not")
    booked = ok(answer(built, entry, "acceptance"), 201)
    assert {one["code"]: one["text"] for one in booked["warnings"]} == told


def test_an_offer_outside_working_hours_says_so_before_the_client_is_called(built: Built) -> None:
    entry = waits(built, open_client(built))["id"]
    offered = ok(offer(built, entry, start("2026-03-17", "18:30")), 201)
    assert "outside_working_hours" in {one["code"] for one in offered["warnings"]}
